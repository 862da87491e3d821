#include <fmt/format.h>

#include <algorithm>

#include "harness/report/timing_picture.hpp"

namespace rimebench {

namespace {

constexpr std::int64_t kTicksMost = 10;

/// The least of 1, 2, 5, 10, 20 ... us that gives few enough ticks.
std::int64_t step_us(const TimeSpan& span) {
  std::int64_t decade = 1;
  for (;; decade *= 10) {
    for (const std::int64_t times : {1, 2, 5}) {
      if (span.length().raw / (decade * times) <= kTicksMost) return decade * times;
    }
  }
}

std::string tick_text(std::int64_t us, std::int64_t step, std::int64_t unit_us) {
  int decimals = 0;
  for (std::int64_t part = unit_us; part > step; part /= 10) ++decimals;
  return fmt::format("{:.{}f}", static_cast<double>(us) / static_cast<double>(unit_us), decimals);
}

}  // namespace

bool shows(const TimingLane& lane, const TimeSpan& span) {
  return std::any_of(lane.stretches.begin(), lane.stretches.end(), [&](const Stretch& stretch) {
    return stretch.time.from <= span.until && span.from <= stretch.time.until;
  });
}

TimeAxis time_axis(const TimeSpan& span, Instant zero) {
  const std::int64_t step = step_us(span);
  const bool in_seconds = span.length() >= Duration{2'000'000};
  const std::int64_t unit_us = in_seconds ? 1'000'000 : 1'000;
  TimeAxis axis{in_seconds ? "s" : "ms", {}};
  const std::int64_t from = (span.from - zero).raw;
  std::int64_t first = from / step * step;
  if (first < from) first += step;
  for (std::int64_t us = first; us <= (span.until - zero).raw; us += step) {
    axis.ticks.push_back({zero + Duration{us}, tick_text(us, step, unit_us)});
  }
  return axis;
}

}  // namespace rimebench
