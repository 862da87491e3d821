#pragma once

/// Reads an analyser's session: a zip archive with a `metadata` (probes, sample rate) and the
/// samples of its logic probes in `logic-1`, or in `logic-1-1`, `logic-1-2` and so on; sigrok's
/// session file format, version 2, as its project documents it. In constant memory: the samples are
/// unpacked as they are read.

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace rimebench {

struct SessionHeader {
  std::vector<std::string> probes;  ///< names, in the order of their bits
  std::int64_t samples_per_s{};
  int unit_bytes{};          ///< of one sample of all probes
  std::int64_t analog{};     ///< analogue channels, left out
  std::string capture_file;  ///< what the samples' entries are called
};

struct SessionChange {
  std::int64_t at_us{};
  std::size_t probe{};
  bool high{};
};

struct Session {
  SessionHeader header;
  std::int64_t samples{};
  std::int64_t end_us{};
  std::int64_t finer_than_us{};  ///< changes whose time was rounded to a microsecond
};

/// The file begins as a zip archive does.
bool is_session(const std::filesystem::path& file);

/// `on_header` is called first, then `on_change` for every level at the first sample and each that
/// changes after it, in order of time. Throws std::invalid_argument with the file's name for what
/// is no such session.
Session read_session(const std::filesystem::path& file,
                     const std::function<void(const SessionHeader&)>& on_header,
                     const std::function<void(const SessionChange&)>& on_change);

}  // namespace rimebench
