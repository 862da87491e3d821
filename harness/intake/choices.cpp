#include "harness/intake/choices.hpp"

#include <fmt/format.h>

#include <array>

#include "harness/config/number.hpp"

namespace rimebench {

namespace {

constexpr double kNoNumber = -1;

constexpr auto kRows = std::to_array<ChoiceRow>({
    // clang-format off
    {Choice::kEncoding, "encoding", "utf8|utf16le|utf16be|windows1252", 0, kNoNumber, "how the file's bytes are letters"},
    {Choice::kDelimiter, "delimiter", "comma|semicolon|tab|bar", 0, kNoNumber, "what stands between two fields"},
    {Choice::kDecimal, "decimal", "point|comma|both", 0, kNoNumber, "decimal mark of the speeds; both: whichever a row has"},
    {Choice::kHeaderLine, "header_line", "", 0, 1000, "line of the column names; 0: there is none"},
    {Choice::kTimeColumn, "time_column", "", 0, kNoNumber, "name or number (from 1) of the time's column"},
    {Choice::kDateColumn, "date_column", "", 0, kNoNumber, "column of the date where the time has one of its own"},
    {Choice::kSpeedColumn, "speed_column", "", 0, kNoNumber, "column of the speed"},
    {Choice::kQualityColumn, "quality_column", "", 0, kNoNumber, "column that marks good rows; none: ignore it"},
    {Choice::kQualityGood, "quality_good", "", 0, kNoNumber, "the marks of a good row, joined by |"},
    {Choice::kTimeForm, "time_form", "calendar|epoch_s|epoch_ms|epoch_us|spreadsheet_days|elapsed|elapsed_clock", 0, kNoNumber, "what a time is; elapsed_clock is h:mm:ss without a date"},
    {Choice::kTimeUnitS, "time_unit_s", "", 1e-9, 1e6, "elapsed times: seconds of one unit"},
    {Choice::kDateOrder, "date_order", "day_month|month_day", 0, kNoNumber, "what comes first in a date such as 03/04/2026"},
    {Choice::kClockChange, "clock_change", "repeats|skips|none", 0, kNoNumber, "local times: the clock was set back an hour (repeats), forward (skips), or not at all"},
    {Choice::kSpeedUnit, "speed_unit", "containers_per_min|containers_per_h|containers_per_s|m_per_min|m_per_s|mm_per_s|pulses_per_s|count_16bit|count_32bit", 0, kNoNumber, "what a speed is; counts are totals of pulses that wrap"},
    {Choice::kPitchUm, "pitch_um", "", 1000, 5e6, "belt travel per container: belt speeds need it"},
    {Choice::kPulsesPerContainer, "pulses_per_container", "", 0.001, 1e6, "pulse rates and counts need it"},
    {Choice::kBetweenRows, "between_rows", "hold|straight", 0, kNoNumber, "between two rows the speed is held, or changes in a straight line"},
    {Choice::kGapS, "gap_s", "", 0.1, 1e6, "rows further apart than this have a gap between them"},
    {Choice::kGap, "gap", "hold|straight|stopped", 0, kNoNumber, "the speed in a gap"},
    {Choice::kNegative, "negative", "stopped|unsigned|left_out", 0, kNoNumber, "a negative speed: 0, its size, or not used"},
    {Choice::kSpeedMaxPerMin, "speed_max_per_min", "", 1, 1e5, "a row above this many containers a minute is not used"},
    {Choice::kStuckS, "stuck_s", "", 1, 1e6, "a speed that does not move so long is reported, if it moves elsewhere"},
    {Choice::kTolerancePerMin, "tolerance_per_min", "", 0, 1000, "a row this close to the line between its neighbours is left out of the profile"},
    // clang-format on
});
static_assert(kRows.size() == static_cast<std::size_t>(Choice::kCount));

const ChoiceRow* find(const std::string& key) {
  for (const ChoiceRow& row : kRows) {
    if (key == row.key) return &row;
  }
  return nullptr;
}

bool is_number(const ChoiceRow& row) { return row.min <= row.max; }

std::string valid_text(const ChoiceRow& row) {
  if (is_number(row)) return number_text(row.min) + ".." + number_text(row.max);
  if (*row.words == '\0') return "a text";
  return row.words;
}

std::string unknown_key(const std::string& key) {
  std::string text = "no such choice: " + key + " (valid:";
  for (const ChoiceRow& row : kRows) text += std::string(" ") + row.key;
  return text + ')';
}

bool is_word(const ChoiceRow& row, const std::string& value) {
  for (const std::string& word : words_of(row)) {
    if (word == value) return true;
  }
  return false;
}

}  // namespace

const ChoiceRow& row_of(Choice choice) { return kRows[static_cast<std::size_t>(choice)]; }

std::vector<std::string> words_of(const ChoiceRow& row) {
  std::vector<std::string> words;
  for (const char* c = row.words; *c != '\0'; ++c) {
    if (*c == '|' || c == row.words) words.emplace_back();
    if (*c != '|') words.back() += *c;
  }
  return words;
}

bool Choices::set(const std::string& key, const std::string& value, std::string& problem) {
  const ChoiceRow* const row = find(key);
  if (row == nullptr) {
    problem = unknown_key(key);
    return false;
  }
  std::string why;
  const auto number = is_number(*row) ? parse_real(value, why) : std::nullopt;
  const bool good = is_number(*row)       ? number && row->min <= *number && *number <= row->max
                    : *row->words == '\0' ? !value.empty()
                                          : is_word(*row, value);
  if (!good) {
    problem = key + ": " + value + " is not valid (valid: " + valid_text(*row) + ')';
    return false;
  }
  values_[static_cast<int>(row->choice)] = value;
  return true;
}

std::optional<std::string> Choices::text(Choice choice) const {
  return values_[static_cast<int>(choice)];
}

std::optional<double> Choices::number(Choice choice) const {
  std::string why;
  const auto value = text(choice);
  return value ? parse_real(*value, why) : std::nullopt;
}

std::optional<int> Choices::word(Choice choice) const {
  const auto value = text(choice);
  const auto words = words_of(row_of(choice));
  for (std::size_t i = 0; value && i < words.size(); ++i) {
    if (words[i] == *value) return static_cast<int>(i);
  }
  return std::nullopt;
}

std::string describe_choices() {
  std::string text;
  for (const ChoiceRow& row : kRows) {
    text += fmt::format("{}\n    {}\n    valid: {}\n", row.key, row.doc, valid_text(row));
  }
  return text;
}

}  // namespace rimebench
