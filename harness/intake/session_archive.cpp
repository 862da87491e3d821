#include "harness/intake/session_archive.hpp"

#include <zip.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstring>
#include <memory>
#include <optional>
#include <sstream>
#include <stdexcept>

#include "harness/intake/csv_fields.hpp"
#include "harness/intake/input_file.hpp"

namespace rimebench {

namespace {

constexpr std::size_t kProbesMax = 64;
constexpr std::size_t kMetadataMax = 1 << 20;
constexpr std::size_t kChunk = 1 << 16;
constexpr std::int64_t kMicros = 1'000'000;
constexpr std::int64_t kRateMax = 1'000'000'000'000;

class Archive {
 public:
  explicit Archive(const std::filesystem::path& file) : name_(file.string()) {
    int error = 0;
    zip_.reset(zip_open(name_.c_str(), ZIP_RDONLY, &error));
    if (zip_) return;
    zip_error_t why;
    zip_error_init_with_code(&why, error);
    const std::string text = zip_error_strerror(&why);
    zip_error_fini(&why);
    refuse("no zip archive that can be read: " + text);
  }

  bool has(const std::string& entry) const {
    return zip_name_locate(zip_.get(), entry.c_str(), 0) >= 0;
  }

  /// `take` gets the entry's bytes, piece by piece.
  template <class Take>
  void read(const std::string& entry, Take take) const {
    const std::unique_ptr<zip_file_t, decltype(&zip_fclose)> file(
        zip_fopen(zip_.get(), entry.c_str(), 0), &zip_fclose);
    if (!file) refuse(entry + ": " + zip_strerror(zip_.get()));
    std::vector<std::uint8_t> bytes(kChunk);
    for (;;) {
      const zip_int64_t size = zip_fread(file.get(), bytes.data(), bytes.size());
      if (size < 0) refuse(entry + ": " + zip_file_strerror(file.get()));
      if (size == 0) return;
      take(bytes.data(), static_cast<std::size_t>(size));
    }
  }

  [[noreturn]] void refuse(const std::string& problem) const {
    throw std::invalid_argument(name_ + ": " + problem);
  }

 private:
  struct Discard {
    void operator()(zip_t* zip) const { zip_discard(zip); }
  };
  std::string name_;
  std::unique_ptr<zip_t, Discard> zip_;
};

std::optional<std::int64_t> whole(std::string_view text) {
  std::int64_t value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size() || value < 0) return std::nullopt;
  return value;
}

/// "1 MHz", "24000000", "500 kHz".
std::optional<std::int64_t> samples_per_s(std::string_view text) {
  const std::size_t digits = std::min(text.find_first_not_of("0123456789"), text.size());
  const auto count = whole(text.substr(0, digits));
  const std::string_view unit = trimmed(text.substr(digits));
  const std::int64_t scale = unit.empty() || unit == "Hz" ? 1
                             : unit == "kHz"              ? 1'000
                             : unit == "MHz"              ? 1'000'000
                             : unit == "GHz"              ? 1'000'000'000
                                                          : 0;
  if (!count || *count == 0 || scale == 0 || *count > kRateMax / scale) return std::nullopt;
  return *count * scale;
}

/// Keys of the section of the first device.
class Metadata {
 public:
  Metadata(const Archive& archive, const std::string& text) : archive_(archive) {
    std::istringstream lines(text);
    bool device = false;
    for (std::string line; std::getline(lines, line);) {
      const std::string_view row = trimmed(line);
      if (!row.empty() && row.front() == '[') device = row == "[device 1]";
      if (device) take(row);
    }
  }

  SessionHeader header() {
    if (header_.probes.empty()) archive_.refuse("metadata: no probes of a [device 1]");
    if (header_.samples_per_s == 0) archive_.refuse("metadata: no samplerate");
    if (header_.capture_file.empty()) archive_.refuse("metadata: no capturefile");
    const auto least = static_cast<int>((header_.probes.size() + 7) / 8);
    if (header_.unit_bytes < least || header_.unit_bytes > 8) {
      archive_.refuse("metadata: unitsize does not hold " + std::to_string(header_.probes.size()) +
                      " probes");
    }
    return std::move(header_);
  }

 private:
  void take(std::string_view row) {
    const std::size_t equals = row.find('=');
    if (equals == std::string_view::npos) return;
    const std::string_view key = row.substr(0, equals), value = row.substr(equals + 1);
    if (key == "capturefile") header_.capture_file = value;
    if (key == "total analog") header_.analog = whole(value).value_or(0);
    if (key == "unitsize") {
      header_.unit_bytes = static_cast<int>(std::min<std::int64_t>(whole(value).value_or(0), 99));
    }
    if (key == "samplerate") {
      const auto rate = samples_per_s(value);
      if (!rate) archive_.refuse("metadata: " + std::string(value) + " is no samplerate");
      header_.samples_per_s = *rate;
    }
    if (!key.starts_with("probe")) return;
    const auto number = whole(key.substr(5));
    if (!number || *number == 0 || *number > static_cast<std::int64_t>(kProbesMax)) {
      archive_.refuse("metadata: " + std::string(key) + " is no probe from 1 to 64");
    }
    const auto index = static_cast<std::size_t>(*number);
    while (header_.probes.size() < index) {
      header_.probes.push_back("probe" + std::to_string(header_.probes.size() + 1));
    }
    header_.probes[index - 1] = value;
  }

  const Archive& archive_;
  SessionHeader header_;
};

/// Samples as they come, across entries and pieces, to changes.
class Samples {
 public:
  Samples(const SessionHeader& header, const std::function<void(const SessionChange&)>& on_change)
      : header_(header),
        on_change_(on_change),
        unit_(static_cast<std::size_t>(header.unit_bytes)) {}

  void take(const std::uint8_t* bytes, std::size_t size) {
    for (std::size_t at = 0; at < size;) {
      if (held_ == 0 && count_ > 0 && size - at >= unit_ &&
          std::memcmp(bytes + at, last_.data(), unit_) == 0) {
        ++count_;
        at += unit_;
        continue;
      }
      now_[held_++] = bytes[at++];
      if (held_ == unit_) sample();
    }
  }

  void finish(Session& session) const {
    session.samples = count_;
    session.end_us = count_ == 0 ? 0 : microseconds(count_ - 1);
    session.finer_than_us = finer_;
  }

 private:
  std::int64_t microseconds(std::int64_t sample) const {
    const std::int64_t rate = header_.samples_per_s;
    const std::int64_t rest = sample % rate;
    // rest < rate <= 1e12, so the product fits.
    return sample / rate * kMicros + (2 * rest * kMicros / rate + 1) / 2;
  }

  void sample() {
    const std::int64_t at_us = microseconds(count_);
    const bool rounded = count_ % header_.samples_per_s * kMicros % header_.samples_per_s != 0;
    for (std::size_t probe = 0; probe < header_.probes.size(); ++probe) {
      const auto bit = [&](const std::array<std::uint8_t, 8>& unit) {
        return (unit[probe / 8] >> probe % 8 & 1U) != 0;
      };
      if (count_ > 0 && bit(now_) == bit(last_)) continue;
      if (rounded) ++finer_;
      on_change_({at_us, probe, bit(now_)});
    }
    last_ = now_;
    held_ = 0;
    ++count_;
  }

  const SessionHeader& header_;
  const std::function<void(const SessionChange&)>& on_change_;
  std::size_t unit_;
  std::array<std::uint8_t, 8> now_{}, last_{};
  std::size_t held_{0};
  std::int64_t count_{0};
  std::int64_t finer_{0};
};

std::string metadata_of(const Archive& archive) {
  if (!archive.has("metadata")) archive.refuse("no analyser's session: it holds no metadata");
  std::string text;
  archive.read("metadata", [&](const std::uint8_t* bytes, std::size_t size) {
    if (text.size() + size > kMetadataMax) archive.refuse("metadata: too long");
    text.append(bytes, bytes + size);
  });
  return text;
}

}  // namespace

bool is_session(const std::filesystem::path& file) {
  std::array<char, 2> begin{};
  open_input(file).read(begin.data(), 2);
  return begin[0] == 'P' && begin[1] == 'K';
}

Session read_session(const std::filesystem::path& file,
                     const std::function<void(const SessionHeader&)>& on_header,
                     const std::function<void(const SessionChange&)>& on_change) {
  const Archive archive(file);
  Session session;
  session.header = Metadata(archive, metadata_of(archive)).header();
  on_header(session.header);
  Samples samples(session.header, on_change);
  const auto take = [&](const std::uint8_t* bytes, std::size_t size) { samples.take(bytes, size); };
  const std::string& name = session.header.capture_file;
  if (archive.has(name)) archive.read(name, take);
  for (int part = 1; archive.has(name + '-' + std::to_string(part)); ++part) {
    archive.read(name + '-' + std::to_string(part), take);
  }
  samples.finish(session);
  if (session.samples == 0) archive.refuse("no samples in " + name);
  return session;
}

}  // namespace rimebench
