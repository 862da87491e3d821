#pragma once

/// How a speed log is written: found from its first rows, or fixed by the user's choices. What the
/// rows do not tell becomes a question.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "harness/intake/choices.hpp"
#include "harness/intake/logged_number.hpp"
#include "harness/intake/logged_time.hpp"
#include "harness/intake/text_lines.hpp"

namespace rimebench {

/// In the order of the words of Choice::kSpeedUnit.
enum class SpeedUnit : std::uint8_t {
  kContainersPerMin,
  kContainersPerH,
  kContainersPerS,
  kMPerMin,
  kMPerS,
  kMmPerS,
  kPulsesPerS,
  kCount16,
  kCount32,
};
inline bool is_count(SpeedUnit unit) { return unit >= SpeedUnit::kCount16; }

inline constexpr int kNoColumn = -1;

struct LogForm {
  Encoding encoding{};
  char delimiter{','};
  std::string header;         ///< the line of column names, which some logs repeat; may be empty
  std::int64_t first_row{1};  ///< line of the first row
  int time_column{kNoColumn};
  int date_column{kNoColumn};
  int speed_column{kNoColumn};
  int quality_column{kNoColumn};
  std::vector<std::string> good;  ///< marks of a good row, small letters
  DecimalMark decimal{};
  TimeForm time_form{};
  double time_unit_s{1.0};
  DateOrder date_order{};
  SpeedUnit unit{};
  double per_min{1.0};  ///< containers a minute of one unit; of a count, containers of one pulse
  bool hold{};          ///< the speed holds from row to row; else it changes in straight lines
  double interval_s{};  ///< usual time between two rows

  /// Microseconds of a row's time by this form.
  std::optional<std::int64_t> time_us(const std::vector<std::string>& fields) const;
  /// A row's speed as written.
  std::optional<double> number(const std::vector<std::string>& fields) const;
};

struct FormInference {
  LogForm form;
  std::vector<Decision> decisions;
  std::vector<Question> questions;
};

/// Looks at the first rows. Throws std::invalid_argument if the file cannot be read or holds no
/// rows of a log.
FormInference infer_form(const std::filesystem::path& file, const Choices& choices);

}  // namespace rimebench
