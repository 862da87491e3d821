#include <algorithm>
#include <initializer_list>
#include <set>

#include "harness/config/number.hpp"
#include "harness/intake/csv_fields.hpp"
#include "harness/intake/log_sample.hpp"

namespace rimebench {

namespace {

bool has_word(const std::string& name, std::initializer_list<const char*> words) {
  const std::string low = lowered(name);
  return std::any_of(words.begin(), words.end(),
                     [&](const char* word) { return low.find(word) != std::string::npos; });
}

bool names_time(const std::string& name) {
  return has_word(name, {"time", "stamp", "zeit", "heure", "hora", "elapsed"});
}
bool names_speed(const std::string& name) {
  return has_word(name, {"speed", "rate", "velocity", "geschw", "vitesse", "cpm", "/min", "per min",
                         "mm/s", "m/s", "hz", "pulse", "count"});
}
bool names_quality(const std::string& name) {
  return has_word(name, {"quality", "qual", "status", "good"});
}

/// What most fields of a column are.
struct Look {
  bool date{};      ///< a date, without a time of day in any row
  bool calendar{};  ///< a date, with a time of day or without
  bool clock{};
  bool number{};
};

Look look_of(const LogSample& sample, int column) {
  std::size_t calendars = 0, timed = 0, clocks = 0, numbers = 0, filled = 0;
  for (const SampleRow& row : sample.rows) {
    const std::string& field = field_at(row.fields, column);
    if (field.empty()) continue;
    ++filled;
    if (const auto calendar = scan_calendar(field)) {
      ++calendars;
      if (field.find(':') != std::string::npos) ++timed;
    } else if (scan_clock_us(field)) {
      ++clocks;
    } else if (parse_logged(field, DecimalMark::kBoth)) {
      ++numbers;
    }
  }
  const auto most = [&](std::size_t count) { return count > 0 && 2 * count > filled; };
  return {most(calendars) && timed == 0, most(calendars), most(clocks), most(numbers)};
}

class ColumnFinder {
 public:
  ColumnFinder(const LogSample& sample, const Choices& choices, FormInference& inference)
      : sample_(sample), choices_(choices), inference_(inference) {
    for (int i = 0; i < sample.columns(); ++i) looks_.push_back(look_of(sample, i));
  }

  void find() {
    LogForm& form = inference_.form;
    form.date_column = chosen(Choice::kDateColumn);
    form.time_column = chosen(Choice::kTimeColumn);
    if (form.time_column == kNoColumn && !asked_) find_time(form);
    form.speed_column = chosen(Choice::kSpeedColumn);
    if (form.speed_column == kNoColumn && !asked_) find_speed(form);
    find_quality(form);
  }

 private:
  using Test = bool (*)(const Look&);

  void ask(Choice choice, std::string why) {
    inference_.questions.push_back({choice, std::move(why), 0});
    asked_ = true;
  }
  void decide(Choice choice, int column, const std::string& why) {
    const std::string& name = sample_.names[static_cast<std::size_t>(column)];
    inference_.decisions.push_back(
        {choice, std::to_string(column + 1), (name.empty() ? "" : name + ": ") + why});
  }

  std::string list(const std::vector<int>& columns) const {
    std::string text;
    for (const int column : columns) text += (text.empty() ? "" : ", ") + sample_.name_of(column);
    return text;
  }

  /// The column that the user names, by number or name.
  int chosen(Choice choice) {
    const auto text = choices_.text(choice);
    if (!text) return kNoColumn;
    std::string why;
    const auto number = parse_whole(*text, why);
    if (number && 1 <= *number && *number <= sample_.columns())
      return static_cast<int>(*number) - 1;
    for (int i = 0; i < sample_.columns(); ++i) {
      if (lowered(sample_.names[static_cast<std::size_t>(i)]) == lowered(*text)) return i;
    }
    std::vector<int> all;
    for (int i = 0; i < sample_.columns(); ++i) all.push_back(i);
    ask(choice, "there is no column " + *text + "; there are " + list(all));
    return kNoColumn;
  }

  std::vector<int> columns_that(Test test) const {
    std::vector<int> columns;
    for (int i = 0; i < sample_.columns(); ++i) {
      if (test(looks_[static_cast<std::size_t>(i)])) columns.push_back(i);
    }
    return columns;
  }
  /// Of several, those whose name says so; all if none does.
  std::vector<int> named(const std::vector<int>& columns, bool (*names)(const std::string&)) const {
    std::vector<int> kept;
    for (const int i : columns) {
      const auto index = static_cast<std::size_t>(i);
      if (names(sample_.names[index]) || names(sample_.units[index])) kept.push_back(i);
    }
    return kept.empty() ? columns : kept;
  }

  void find_time(LogForm& form) {
    const auto dates = columns_that([](const Look& look) { return look.date; });
    const auto clocks = columns_that([](const Look& look) { return look.clock; });
    const auto calendars = columns_that([](const Look& look) { return look.calendar; });
    if (form.date_column == kNoColumn && dates.size() == 1 && clocks.size() == 1) {
      form.date_column = dates.front();
      decide(Choice::kDateColumn, form.date_column, "the only one with dates");
    }
    const auto& times = form.date_column != kNoColumn ? clocks
                        : !calendars.empty()          ? calendars
                                                      : clocks;
    if (times.empty()) return find_number_time(form);
    if (times.size() > 1) return ask(Choice::kTimeColumn, "times stand in columns " + list(times));
    form.time_column = times.front();
    decide(Choice::kTimeColumn, form.time_column, "the only one with such times");
  }

  void find_number_time(LogForm& form) {
    const auto numbers = columns_that([](const Look& look) { return look.number; });
    const auto times = named(numbers, names_time);
    if (times.size() != 1) {
      return ask(Choice::kTimeColumn, "each of the columns " + list(numbers) + " could be a time");
    }
    form.time_column = times.front();
    decide(Choice::kTimeColumn, form.time_column, "its name says so");
  }

  void find_speed(LogForm& form) {
    auto numbers = columns_that([](const Look& look) { return look.number; });
    std::erase(numbers, form.time_column);
    std::erase_if(numbers,
                  [&](int i) { return names_quality(sample_.names[static_cast<std::size_t>(i)]); });
    const auto speeds = named(numbers, names_speed);
    if (speeds.empty()) return ask(Choice::kSpeedColumn, "no column holds numbers");
    if (speeds.size() > 1) {
      return ask(Choice::kSpeedColumn,
                 "each of the columns " + list(speeds) + " could be the speed");
    }
    form.speed_column = speeds.front();
    decide(Choice::kSpeedColumn, form.speed_column,
           numbers.size() == 1 ? "the only one with numbers" : "its name says so");
  }

  void find_quality(LogForm& form) {
    if (choices_.text(Choice::kQualityColumn) == "none") return;
    form.quality_column = chosen(Choice::kQualityColumn);
    for (int i = 0; i < sample_.columns() && form.quality_column == kNoColumn; ++i) {
      if (i == form.speed_column || i == form.time_column) continue;
      if (!names_quality(sample_.names[static_cast<std::size_t>(i)])) continue;
      form.quality_column = i;
      decide(Choice::kQualityColumn, i, "its name says so");
    }
    if (form.quality_column != kNoColumn) find_good(form);
  }

  void find_good(LogForm& form) {
    if (const auto text = choices_.text(Choice::kQualityGood)) {
      split_fields(lowered(*text), '|', form.good);
      return;
    }
    std::set<std::string> found;
    for (const SampleRow& row : sample_.rows) {
      found.insert(lowered(field_at(row.fields, form.quality_column)));
    }
    std::string all;
    for (const std::string& mark : found) all += (all.empty() ? "" : ", ") + ("\"" + mark + "\"");
    for (const char* mark : {"good", "ok", "valid", "192"}) {
      if (found.contains(mark)) form.good.emplace_back(mark);
    }
    if (form.good.empty()) {
      return ask(Choice::kQualityGood,
                 "column " + sample_.name_of(form.quality_column) + " holds " + all);
    }
    std::string good;
    for (const std::string& mark : form.good) good += (good.empty() ? "" : "|") + mark;
    inference_.decisions.push_back(
        {Choice::kQualityGood, good, "the first rows hold " + all + "; 192 is OPC's good"});
  }

  const LogSample& sample_;
  const Choices& choices_;
  FormInference& inference_;
  std::vector<Look> looks_;
  bool asked_{false};
};

}  // namespace

void find_columns(const LogSample& sample, const Choices& choices, FormInference& inference) {
  ColumnFinder(sample, choices, inference).find();
}

}  // namespace rimebench
