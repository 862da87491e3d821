#pragma once

/// What a user may fix about a log, so that nothing has to be inferred. The same keys stand on the
/// command line (--choose KEY=VALUE) and in a YAML file beside the log.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace rimebench {

enum class Choice : std::uint8_t {
  kEncoding,
  kDelimiter,
  kDecimal,
  kHeaderLine,
  kTimeColumn,
  kDateColumn,
  kSpeedColumn,
  kQualityColumn,
  kQualityGood,
  kTimeForm,
  kTimeUnitS,
  kDateOrder,
  kClockChange,
  kSpeedUnit,
  kPitchUm,
  kPulsesPerContainer,
  kBetweenRows,
  kGapS,
  kGap,
  kNegative,
  kSpeedMaxPerMin,
  kStuckS,
  kTolerancePerMin,
  kCount,
};

/// A key, its words joined by | or the range of its number, and what it means.
struct ChoiceRow {
  Choice choice;
  const char* key;
  const char* words;  ///< "" for free text or a number
  double min;         ///< of a number; min above max: no number
  double max;
  const char* doc;
};
const ChoiceRow& row_of(Choice choice);

/// The words of a row, one by one.
std::vector<std::string> words_of(const ChoiceRow& row);

class Choices {
 public:
  /// Checks key and value. False with a `problem` that names the valid ones. A later value
  /// replaces an earlier one.
  bool set(const std::string& key, const std::string& value, std::string& problem);

  std::optional<std::string> text(Choice choice) const;
  std::optional<double> number(Choice choice) const;
  /// The index of the word given.
  std::optional<int> word(Choice choice) const;

 private:
  std::optional<std::string> values_[static_cast<int>(Choice::kCount)];
};

/// Every key with its valid values and meaning, for people.
std::string describe_choices();

/// Something that was inferred or taken for granted about a log as a whole.
struct Decision {
  Choice choice;
  std::string value;
  std::string why;
};

/// Something that cannot be inferred: the choices are left to the user.
struct Question {
  Choice choice;
  std::string why;
  std::int64_t line{};  ///< that shows it; 0: none in particular
};

}  // namespace rimebench
