#include "harness/intake/log_form.hpp"

#include "harness/intake/csv_fields.hpp"
#include "harness/intake/log_sample.hpp"

namespace rimebench {

std::optional<std::int64_t> LogForm::time_us(const std::vector<std::string>& fields) const {
  const std::string& time = field_at(fields, time_column);
  if (time_form == TimeForm::kElapsedClock) return scan_clock_us(time);
  if (time_form != TimeForm::kCalendar) {
    const auto value = parse_logged(time, DecimalMark::kBoth);
    return value ? number_us(*value, time_form, time_unit_s) : std::nullopt;
  }
  if (date_column == kNoColumn || date_column == time_column) {
    const auto calendar = scan_calendar(time);
    return calendar ? calendar_us(*calendar, date_order) : std::nullopt;
  }
  const auto calendar = scan_calendar(field_at(fields, date_column) + ' ' + time);
  return calendar ? calendar_us(*calendar, date_order) : std::nullopt;
}

std::optional<double> LogForm::number(const std::vector<std::string>& fields) const {
  return parse_logged(field_at(fields, speed_column), decimal);
}

FormInference infer_form(const std::filesystem::path& file, const Choices& choices) {
  FormInference inference;
  const LogSample sample = read_sample(file, choices, inference);
  find_columns(sample, choices, inference);
  if (!inference.questions.empty()) return inference;
  find_decimal(sample, choices, inference);
  find_time_form(sample, choices, inference);
  find_unit(sample, choices, inference);
  if (inference.questions.empty()) find_rhythm(sample, choices, inference);
  return inference;
}

}  // namespace rimebench
