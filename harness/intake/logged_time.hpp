#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace rimebench {

/// In the order of the words of Choice::kTimeForm.
enum class TimeForm : std::uint8_t {
  kCalendar,
  kEpochS,
  kEpochMs,
  kEpochUs,
  kSpreadsheetDays,  ///< days since 30 December 1899, as spreadsheets count
  kElapsed,
  kElapsedClock,
};

enum class DateOrder : std::uint8_t { kDayMonth, kMonthDay };

/// A date with or without a time of day, its numbers not yet given their meaning.
struct CalendarText {
  bool year_first{};  ///< year, month, day
  int first{};        ///< of the other two numbers, in the order written
  int second{};
  int year{};
  bool short_year{};  ///< two digits, taken as 20yy
  char separator{};   ///< '-', '/' or '.'
  std::int64_t of_day_us{};
  std::optional<int> zone_min;  ///< minutes ahead of UTC, if it says so
};

/// 2026-03-04T06:00:00.250+01:00, 2026-03-04 06:00, 04.03.2026 6:00:00,250, 3/4/26 6:00 PM and the
/// like; the mark before parts of a second may be a comma.
std::optional<CalendarText> scan_calendar(std::string_view text);

/// Microseconds since 1970-01-01 of that wall clock, its zone taken off if it names one. Nothing if
/// there is no such day. `order` matters only where the year does not come first.
std::optional<std::int64_t> calendar_us(const CalendarText& text, DateOrder order);

/// h:mm:ss with parts of a second, h:mm; AM and PM. In microseconds.
std::optional<std::int64_t> scan_clock_us(std::string_view text);

/// Microseconds of a plain number of this form; `unit_s` is for kElapsed. Nothing if it is out of
/// all range. Not for kCalendar and kElapsedClock.
std::optional<std::int64_t> number_us(double number, TimeForm form, double unit_s);

}  // namespace rimebench
