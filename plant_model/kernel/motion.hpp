#pragma once

#include <cmath>
#include <cstdint>
#include <optional>

#include "firmware_sim/units/demand.hpp"
#include "firmware_sim/units/quantity.hpp"

/// Motion inside one segment of uniform acceleration: travelled = v t + a t^2 / 2.
/// Speeds in um/s and accelerations in um/s^2 are doubles, because a speed in mid-ramp is no whole
/// number; both may be negative. Only + - x / and the square root: the same time on every machine.
namespace rimebench {

/// Distance covered after `time`, in um, before rounding.
constexpr double travelled_um(double speed, double acceleration, Duration time) {
  const double seconds = static_cast<double>(time.raw) / static_cast<double>(kMicrosPerSecond);
  return (speed + 0.5 * acceleration * seconds) * seconds;
}

/// The least whole number of microseconds not below `time_us` >= 0.
constexpr Duration rounded_up(double time_us) {
  DEMAND(time_us >= 0.0 && time_us <= 0x1p60);
  const auto whole = static_cast<std::int64_t>(time_us);
  return {static_cast<double>(whole) < time_us ? whole + 1 : whole};
}

/// The first time at which `distance` has been covered, rounded up to the microsecond; nothing
/// where the belt never gets there: it stands, runs the other way or stops short, or would need
/// more than 30 000 years. A negative distance is covered backwards; 0 is covered at once.
///
/// Of the two written forms of the root the one that adds is taken, never the one that subtracts
/// two near-equal numbers: good to a few units in the last place, and to 2e-8 of the time for a
/// belt that stops on the very mark, where the root itself is that sensitive. With whole speeds and
/// accelerations and distances below 2^32 um no input is rounded, so a time that is a whole number
/// of microseconds is not pushed past itself.
inline std::optional<Duration> crossing(Length distance, double speed, double acceleration) {
  if (distance.raw == 0) return Duration{0};
  const double sign = distance.raw < 0 ? -1.0 : 1.0;
  const double d = sign * static_cast<double>(distance.raw);
  const double v = sign * speed;
  const double a = sign * acceleration;
  const double reach = v * v + 2.0 * a * d;
  const double micros = static_cast<double>(kMicrosPerSecond);
  double time_us = 0.0;
  if (v > 0.0) {
    if (reach < 0.0) return std::nullopt;
    time_us = 2.0 * d * micros / (v + std::sqrt(reach));
  } else {
    if (!(a > 0.0)) return std::nullopt;
    time_us = micros * (std::sqrt(reach) - v) / a;
  }
  if (!(time_us <= 0x1p60)) return std::nullopt;
  return rounded_up(time_us);
}

}  // namespace rimebench
