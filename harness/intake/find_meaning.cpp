#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "harness/intake/csv_fields.hpp"
#include "harness/intake/log_sample.hpp"

namespace rimebench {

namespace {

std::string word(Choice choice, std::size_t index) { return words_of(row_of(choice))[index]; }

/// What the marks in a column of numbers can be.
struct Marks {
  std::size_t points{};       ///< a decimal point for certain
  std::size_t commas{};       ///< a decimal comma for certain
  std::size_t doubtful{};     ///< such as 1,234
  std::int64_t doubt_line{};  ///< the first of them
  std::string doubt;
};

Marks marks_of(const LogSample& sample, int column) {
  Marks marks;
  for (const SampleRow& row : sample.rows) {
    const std::string& field = field_at(row.fields, column);
    const std::size_t last = field.find_last_of(".,");
    if (last == std::string::npos || !parse_logged(field, DecimalMark::kBoth)) continue;
    if (may_be_grouped(field)) {
      if (marks.doubtful++ == 0) marks.doubt_line = row.line;
      marks.doubt = field;
    } else {
      ++(field[last] == '.' ? marks.points : marks.commas);
    }
  }
  return marks;
}

/// What the columns' names and the line below them say about a unit.
std::string unit_text(const LogSample& sample, int column) {
  const auto index = static_cast<std::size_t>(column);
  return ' ' + lowered(sample.names[index] + ' ' + sample.units[index]) + ' ';
}

struct UnitWord {
  const char* text;
  SpeedUnit unit;
};
/// The longer first: "m/min" ends in "/min".
constexpr auto kUnitWords = std::to_array<UnitWord>({
    {"mm/s", SpeedUnit::kMmPerS},
    {"mm_s", SpeedUnit::kMmPerS},
    {" m/min", SpeedUnit::kMPerMin},
    {"(m/min", SpeedUnit::kMPerMin},
    {"[m/min", SpeedUnit::kMPerMin},
    {"m_per_min", SpeedUnit::kMPerMin},
    {" m/s", SpeedUnit::kMPerS},
    {"(m/s", SpeedUnit::kMPerS},
    {"[m/s", SpeedUnit::kMPerS},
    {"pulses/s", SpeedUnit::kPulsesPerS},
    {"pulses_per_s", SpeedUnit::kPulsesPerS},
    {"imp/s", SpeedUnit::kPulsesPerS},
    {"hz", SpeedUnit::kPulsesPerS},
    {"cpm", SpeedUnit::kContainersPerMin},
    {"/min", SpeedUnit::kContainersPerMin},
    {"per min", SpeedUnit::kContainersPerMin},
    {"per_min", SpeedUnit::kContainersPerMin},
    {"cph", SpeedUnit::kContainersPerH},
    {"/h", SpeedUnit::kContainersPerH},
    {"per h", SpeedUnit::kContainersPerH},
    {"per_h", SpeedUnit::kContainersPerH},
});

std::optional<SpeedUnit> named_unit(const std::string& text) {
  for (const UnitWord& row : kUnitWords) {
    if (text.find(row.text) != std::string::npos) return row.unit;
  }
  return std::nullopt;
}

/// The first plain numbers of the time's column.
std::vector<double> first_times(const LogSample& sample, int column) {
  std::vector<double> times;
  for (const SampleRow& row : sample.rows) {
    if (const auto value = parse_logged(field_at(row.fields, column), DecimalMark::kBoth)) {
      times.push_back(*value);
    }
  }
  return times;
}

double median(std::vector<double> values) {
  if (values.empty()) return 0.0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

double median_step(const std::vector<double>& values) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < values.size(); ++i) {
    if (values[i] > values[i - 1]) steps.push_back(values[i] - values[i - 1]);
  }
  return median(std::move(steps));
}

class TimeFinder {
 public:
  TimeFinder(const LogSample& sample, const Choices& choices, FormInference& inference)
      : sample_(sample), choices_(choices), inference_(inference), form_(inference.form) {}

  void find() {
    if (const auto chosen = choices_.word(Choice::kTimeForm)) {
      form_.time_form = static_cast<TimeForm>(*chosen);
    } else {
      find_form();
    }
    if (form_.time_form == TimeForm::kCalendar) find_order();
    if (form_.time_form == TimeForm::kElapsed) find_unit();
  }

 private:
  void decide(TimeForm form, const std::string& why) {
    form_.time_form = form;
    inference_.decisions.push_back(
        {Choice::kTimeForm, word(Choice::kTimeForm, static_cast<std::size_t>(form)), why});
  }

  void find_form() {
    const std::string& first = field_at(sample_.rows.front().fields, form_.time_column);
    if (form_.date_column != kNoColumn || scan_calendar(first)) {
      return decide(TimeForm::kCalendar, "times such as " + first);
    }
    if (scan_clock_us(first)) return decide(TimeForm::kElapsedClock, "times such as " + first);
    find_number_form(first_times(sample_, form_.time_column));
  }

  void find_number_form(const std::vector<double>& times) {
    if (times.empty()) {
      inference_.questions.push_back({Choice::kTimeForm, "its column holds no times", 0});
      return;
    }
    const double first = times.front();
    const std::string such = fmt::format("numbers such as {:.10g}", first);
    if (1e9 <= first && first < 4e9) return decide(TimeForm::kEpochS, such);
    if (1e12 <= first && first < 4e12) return decide(TimeForm::kEpochMs, such);
    if (1e15 <= first && first < 4e15) return decide(TimeForm::kEpochUs, such);
    // A spreadsheet's day of the years 1982 to 2064, in steps far below a day.
    if (30'000 <= first && first < 60'000 && median_step(times) < 0.05) {
      return decide(TimeForm::kSpreadsheetDays, such + " in steps far below 1");
    }
    decide(TimeForm::kElapsed, such);
  }

  void find_unit() {
    if (const auto chosen = choices_.number(Choice::kTimeUnitS)) {
      form_.time_unit_s = *chosen;
      return;
    }
    struct Unit {
      const char* text;
      double seconds;
    };
    const std::string text = unit_text(sample_, form_.time_column);
    for (const Unit& unit :
         {Unit{"ms", 1e-3}, Unit{"milli", 1e-3}, Unit{"us", 1e-6}, Unit{"micro", 1e-6},
          Unit{"min", 60.0}, Unit{"sec", 1.0}, Unit{"_s ", 1.0}, Unit{" s ", 1.0}, Unit{"(s)", 1.0},
          Unit{"[s]", 1.0}}) {
      if (text.find(unit.text) == std::string::npos) continue;
      form_.time_unit_s = unit.seconds;
      inference_.decisions.push_back(
          {Choice::kTimeUnitS, fmt::format("{:g}", unit.seconds), "the column's name or unit"});
      return;
    }
    inference_.questions.push_back(
        {Choice::kTimeUnitS, "nothing says in what unit the elapsed times are", 0});
  }

  /// Only a number above 12 tells the day from the month.
  void find_order() {
    const int column = form_.date_column == kNoColumn ? form_.time_column : form_.date_column;
    std::int64_t line = 0;
    std::string example;
    bool day_first = false, month_first = false, dots = false, needed = false;
    for (const SampleRow& row : sample_.rows) {
      const auto date = scan_calendar(field_at(row.fields, column));
      if (!date || date->year_first) continue;
      if (!needed) {
        line = row.line;
        example = field_at(row.fields, column);
      }
      needed = true;
      dots = dots || date->separator == '.';
      day_first = day_first || date->first > 12;
      month_first = month_first || date->second > 12;
    }
    if (!needed) return;
    if (const auto chosen = choices_.word(Choice::kDateOrder)) {
      form_.date_order = static_cast<DateOrder>(*chosen);
      return;
    }
    if (day_first != month_first || (dots && !month_first)) {
      form_.date_order = month_first ? DateOrder::kMonthDay : DateOrder::kDayMonth;
      inference_.decisions.push_back(
          {Choice::kDateOrder, word(Choice::kDateOrder, static_cast<std::size_t>(form_.date_order)),
           day_first || month_first ? "a number above 12 stands in the other place"
                                    : "dates with points are written so"});
      return;
    }
    inference_.questions.push_back(
        {Choice::kDateOrder, example + " can be read either way round", line});
  }

  const LogSample& sample_;
  const Choices& choices_;
  FormInference& inference_;
  LogForm& form_;
};

/// Containers a minute of one unit; nothing if a figure that only the user has is missing.
std::optional<double> per_min_of(SpeedUnit unit, const Choices& choices, FormInference& inference) {
  const auto need = [&](Choice choice, const char* why) {
    const auto value = choices.number(choice);
    if (!value) inference.questions.push_back({choice, why, 0});
    return value;
  };
  constexpr const char* kPitch = "the speed is a belt's: how far does it go per container?";
  constexpr const char* kPulses = "the speed is in pulses: how many is one container?";
  std::optional<double> figure;
  switch (unit) {
    case SpeedUnit::kContainersPerMin:
      return 1.0;
    case SpeedUnit::kContainersPerH:
      return 1.0 / 60.0;
    case SpeedUnit::kContainersPerS:
      return 60.0;
    case SpeedUnit::kMPerMin:
      figure = need(Choice::kPitchUm, kPitch);
      return figure ? std::optional(1e6 / *figure) : std::nullopt;
    case SpeedUnit::kMPerS:
      figure = need(Choice::kPitchUm, kPitch);
      return figure ? std::optional(60e6 / *figure) : std::nullopt;
    case SpeedUnit::kMmPerS:
      figure = need(Choice::kPitchUm, kPitch);
      return figure ? std::optional(60e3 / *figure) : std::nullopt;
    case SpeedUnit::kPulsesPerS:
      figure = need(Choice::kPulsesPerContainer, kPulses);
      return figure ? std::optional(60.0 / *figure) : std::nullopt;
    case SpeedUnit::kCount16:
    case SpeedUnit::kCount32:
      figure = need(Choice::kPulsesPerContainer, kPulses);
      return figure ? std::optional(1.0 / *figure) : std::nullopt;
  }
  return std::nullopt;
}

}  // namespace

void find_decimal(const LogSample& sample, const Choices& choices, FormInference& inference) {
  if (const auto chosen = choices.word(Choice::kDecimal)) {
    inference.form.decimal = static_cast<DecimalMark>(*chosen);
    return;
  }
  const Marks marks = marks_of(sample, inference.form.speed_column);
  if (marks.doubtful > 0 && marks.points == 0 && marks.commas == 0) {
    inference.questions.push_back(
        {Choice::kDecimal, marks.doubt + " can be read with or without parts", marks.doubt_line});
    return;
  }
  const bool both = marks.points > 0 && marks.commas > 0;
  inference.form.decimal = both               ? DecimalMark::kBoth
                           : marks.commas > 0 ? DecimalMark::kComma
                                              : DecimalMark::kPoint;
  inference.decisions.push_back(
      {Choice::kDecimal, word(Choice::kDecimal, static_cast<std::size_t>(inference.form.decimal)),
       fmt::format("{} of the first speeds have a decimal point, {} a comma", marks.points,
                   marks.commas)});
}

void find_time_form(const LogSample& sample, const Choices& choices, FormInference& inference) {
  TimeFinder(sample, choices, inference).find();
}

void find_unit(const LogSample& sample, const Choices& choices, FormInference& inference) {
  LogForm& form = inference.form;
  const std::string text = unit_text(sample, form.speed_column);
  if (const auto chosen = choices.word(Choice::kSpeedUnit)) {
    form.unit = static_cast<SpeedUnit>(*chosen);
  } else if (const auto named = named_unit(text)) {
    form.unit = *named;
    inference.decisions.push_back({Choice::kSpeedUnit,
                                   word(Choice::kSpeedUnit, static_cast<std::size_t>(*named)),
                                   "the column's name or unit"});
  } else {
    inference.questions.push_back(
        {Choice::kSpeedUnit,
         "nothing says what the numbers of column " + sample.name_of(form.speed_column) + " are",
         0});
    return;
  }
  form.per_min = per_min_of(form.unit, choices, inference).value_or(1.0);
}

void find_rhythm(const LogSample& sample, const Choices& choices, FormInference& inference) {
  LogForm& form = inference.form;
  std::vector<double> times;
  std::size_t repeats = 0;
  std::optional<double> last;
  for (const SampleRow& row : sample.rows) {
    const auto us = form.time_us(row.fields);
    const auto value = form.number(row.fields);
    if (!us || !value) continue;
    const double time_s = static_cast<double>(*us) * 1e-6;
    if (!times.empty() && time_s <= times.back()) continue;
    times.push_back(time_s);
    if (last == value) ++repeats;
    last = value;
  }
  form.interval_s = median_step(times);
  if (is_count(form.unit)) return;  // a mean between two totals: it holds by its nature
  if (const auto chosen = choices.word(Choice::kBetweenRows)) {
    form.hold = *chosen == 0;
    return;
  }
  std::size_t even = 0;
  for (std::size_t i = 1; i < times.size(); ++i) {
    if (std::abs(times[i] - times[i - 1] - form.interval_s) <= 0.2 * form.interval_s) ++even;
  }
  const bool sampled = 10 * even + 9 >= 9 * times.size();
  if (!sampled && repeats > 0) {
    inference.questions.push_back(
        {Choice::kBetweenRows,
         "rows come at uneven times, yet some repeat the speed before: it may be a log of changes "
         "or of samples",
         0});
    return;
  }
  form.hold = !sampled;
  inference.decisions.push_back(
      {Choice::kBetweenRows, word(Choice::kBetweenRows, form.hold ? 0 : 1),
       sampled ? fmt::format("sampled every {:g} s", form.interval_s)
               : "rows come at uneven times and each changes the speed: a log of changes"});
}

}  // namespace rimebench
