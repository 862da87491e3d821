#pragma once

/// The first rows of a log, split, and what their columns look like.

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "harness/intake/choices.hpp"
#include "harness/intake/log_form.hpp"

namespace rimebench {

struct SampleRow {
  std::int64_t line{};
  std::vector<std::string> fields;
};

struct LogSample {
  std::vector<std::string> names;  ///< of the columns; empty texts where there is no header
  std::vector<std::string> units;  ///< the line below the names, if it holds no data
  std::vector<SampleRow> rows;     ///< of data
  bool has_header{false};

  int columns() const { return static_cast<int>(names.size()); }
  /// "2 (Speed)", for messages.
  std::string name_of(int column) const;
};

/// Reads about two thousand lines; settles encoding, delimiter and header. Throws
/// std::invalid_argument if there are no rows of a log.
LogSample read_sample(const std::filesystem::path& file, const Choices& choices,
                      FormInference& inference);

/// Settles the columns of time, date, speed and quality.
void find_columns(const LogSample& sample, const Choices& choices, FormInference& inference);
/// Settles what times and speeds mean.
void find_decimal(const LogSample& sample, const Choices& choices, FormInference& inference);
void find_time_form(const LogSample& sample, const Choices& choices, FormInference& inference);
void find_unit(const LogSample& sample, const Choices& choices, FormInference& inference);
void find_rhythm(const LogSample& sample, const Choices& choices, FormInference& inference);

}  // namespace rimebench
