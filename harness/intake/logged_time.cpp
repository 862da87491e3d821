#include "harness/intake/logged_time.hpp"

#include <chrono>
#include <cmath>

#include "harness/intake/csv_fields.hpp"

namespace rimebench {

namespace {

constexpr std::int64_t kSecondUs = 1'000'000;
constexpr std::int64_t kMinuteUs = 60 * kSecondUs;
constexpr std::int64_t kHourUs = 60 * kMinuteUs;
constexpr double kDayUs = 24.0 * static_cast<double>(kHourUs);
/// Days from 30 December 1899 to 1 January 1970.
constexpr double kSpreadsheetEpochDays = 25'569.0;
/// About 285 000 years either way: beyond it a number is no time.
constexpr double kMostUs = 9e18;

/// Reads a text from its front.
class Scanner {
 public:
  explicit Scanner(std::string_view text) : rest_(text) {}

  bool done() const { return rest_.empty(); }
  char front() const { return rest_.empty() ? '\0' : rest_.front(); }
  bool take(char c) {
    if (front() != c) return false;
    rest_.remove_prefix(1);
    return true;
  }
  bool take_word(std::string_view word) {
    if (lowered(rest_.substr(0, word.size())) != word) return false;
    rest_.remove_prefix(word.size());
    return true;
  }
  /// Digits, at least `least` and at most `most` of them; their count goes to `count`.
  std::optional<int> digits(int least, int most, int* count = nullptr) {
    int value = 0, taken = 0;
    while (taken < most && '0' <= front() && front() <= '9') {
      value = value * 10 + (front() - '0');
      rest_.remove_prefix(1);
      ++taken;
    }
    if (count != nullptr) *count = taken;
    if (taken < least) return std::nullopt;
    return value;
  }
  /// Parts of a second in us; digits past the sixth are dropped.
  std::optional<std::int64_t> fraction_us() {
    std::int64_t us = 0, worth = kSecondUs / 10;
    if (front() < '0' || front() > '9') return std::nullopt;
    for (; '0' <= front() && front() <= '9'; worth /= 10) {
      us += worth * (front() - '0');
      rest_.remove_prefix(1);
    }
    return us;
  }

 private:
  std::string_view rest_;
};

/// With AM or PM an hour runs from 12, 1, 2 to 11.
std::optional<int> half_day_hour(Scanner& scan, int hour) {
  Scanner blank = scan;
  while (blank.take(' ')) {
  }
  const bool am = blank.take_word("am") || blank.take_word("a.m.");
  const bool pm = !am && (blank.take_word("pm") || blank.take_word("p.m."));
  if (!am && !pm) return hour;
  if (hour < 1 || hour > 12) return std::nullopt;
  scan = blank;
  return hour % 12 + (pm ? 12 : 0);
}

std::optional<std::int64_t> take_clock_us(Scanner& scan, int hour_digits, int hour_most) {
  auto hour = scan.digits(1, hour_digits);
  if (!hour || !scan.take(':')) return std::nullopt;
  const auto minute = scan.digits(2, 2);
  if (!minute || *minute > 59) return std::nullopt;
  std::int64_t us = *minute * kMinuteUs;
  if (scan.take(':')) {
    const auto second = scan.digits(2, 2);
    if (!second || *second > 60) return std::nullopt;  // a leap second is written as 60
    us += *second * kSecondUs;
    if (scan.take('.') || scan.take(',')) {
      const auto part = scan.fraction_us();
      if (!part) return std::nullopt;
      us += *part;
    }
  }
  hour = half_day_hour(scan, *hour);
  if (!hour || *hour > hour_most) return std::nullopt;
  return us + *hour * kHourUs;
}

/// Z, +01:00, -0530, +02; nothing taken is no zone.
bool take_zone(Scanner& scan, std::optional<int>& zone_min) {
  if (scan.take('Z') || scan.take('z')) {
    zone_min = 0;
    return true;
  }
  const bool plus = scan.take('+');
  if (!plus && !scan.take('-')) return true;
  const auto hours = scan.digits(2, 2);
  scan.take(':');
  const auto minutes = scan.done() ? std::optional<int>{0} : scan.digits(2, 2);
  if (!hours || !minutes || *hours > 14 || *minutes > 59) return false;
  zone_min = (plus ? 1 : -1) * (*hours * 60 + *minutes);
  return true;
}

bool take_date(Scanner& scan, CalendarText& date) {
  int count = 0;
  const auto first = scan.digits(1, 4, &count);
  date.separator = scan.front();
  if (!first || count == 3 ||
      (date.separator != '-' && date.separator != '/' && date.separator != '.')) {
    return false;
  }
  scan.take(date.separator);
  const auto second = scan.digits(1, 2);
  if (!second || !scan.take(date.separator)) return false;
  date.year_first = count == 4;
  const auto third = scan.digits(1, date.year_first ? 2 : 4, &count);
  if (!third || count == 3) return false;
  if (date.year_first) {
    date.year = *first;
    date.first = *second;
    date.second = *third;
    return true;
  }
  date.first = *first;
  date.second = *second;
  date.short_year = count == 2;
  date.year = *third + (date.short_year ? 2000 : 0);
  return count == 2 || count == 4;
}

}  // namespace

std::optional<CalendarText> scan_calendar(std::string_view text) {
  Scanner scan(text);
  CalendarText calendar;
  if (!take_date(scan, calendar)) return std::nullopt;
  if (scan.done()) return calendar;
  if (!scan.take('T') && !scan.take(',') && !scan.take(' ')) return std::nullopt;
  while (scan.take(' ')) {
  }
  const auto of_day = take_clock_us(scan, 2, 24);
  if (!of_day) return std::nullopt;
  calendar.of_day_us = *of_day;
  while (scan.take(' ')) {
  }
  if (!take_zone(scan, calendar.zone_min) || !scan.done()) return std::nullopt;
  return calendar;
}

std::optional<std::int64_t> calendar_us(const CalendarText& text, DateOrder order) {
  const bool month_first = text.year_first || order == DateOrder::kMonthDay;
  const int month = month_first ? text.first : text.second;
  const int day = month_first ? text.second : text.first;
  const std::chrono::year_month_day date{std::chrono::year{text.year},
                                         std::chrono::month{static_cast<unsigned>(month)},
                                         std::chrono::day{static_cast<unsigned>(day)}};
  if (!date.ok()) return std::nullopt;
  const auto days = std::chrono::sys_days{date}.time_since_epoch().count();
  return std::int64_t{days} * 24 * kHourUs + text.of_day_us - text.zone_min.value_or(0) * kMinuteUs;
}

std::optional<std::int64_t> scan_clock_us(std::string_view text) {
  Scanner scan(text);
  constexpr int kHoursMost = 99'999;
  const auto us = take_clock_us(scan, 5, kHoursMost);
  return scan.done() ? us : std::nullopt;
}

std::optional<std::int64_t> number_us(double number, TimeForm form, double unit_s) {
  double us = 0.0;
  switch (form) {
    case TimeForm::kEpochS:
      us = number * 1e6;
      break;
    case TimeForm::kEpochMs:
      us = number * 1e3;
      break;
    case TimeForm::kEpochUs:
      us = number;
      break;
    case TimeForm::kSpreadsheetDays:
      us = (number - kSpreadsheetEpochDays) * kDayUs;
      break;
    case TimeForm::kElapsed:
      us = number * unit_s * 1e6;
      break;
    case TimeForm::kCalendar:
    case TimeForm::kElapsedClock:
      return std::nullopt;
  }
  if (!(std::abs(us) < kMostUs)) return std::nullopt;
  return std::llround(us);
}

}  // namespace rimebench
