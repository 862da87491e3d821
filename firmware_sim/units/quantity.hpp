#pragma once

/// Strong integers: one integer, one meaning. `5_ms + 3_mm` does not compile.
///   Instant   microseconds since the run began        Duration  microseconds
///   Length    micrometres                             Speed     micrometres per second
///   Mass      micrograms
/// Rounding is in the name of the function that rounds; no "/" between quantities.

#include <compare>
#include <cstdint>

#include "firmware_sim/units/mul_div.hpp"

namespace rimebench {

template <class Tag>
struct Quantity {
  std::int64_t raw{};

  friend constexpr auto operator<=>(const Quantity&, const Quantity&) = default;
  friend constexpr Quantity operator+(Quantity a, Quantity b) { return {a.raw + b.raw}; }
  friend constexpr Quantity operator-(Quantity a, Quantity b) { return {a.raw - b.raw}; }
  friend constexpr Quantity operator-(Quantity a) { return {-a.raw}; }
  constexpr Quantity& operator+=(Quantity other) { return *this = *this + other; }
  constexpr Quantity& operator-=(Quantity other) { return *this = *this - other; }
};

using Duration = Quantity<struct MicrosecondTag>;
using Length = Quantity<struct MicrometreTag>;
using Speed = Quantity<struct MicrometrePerSecondTag>;
using Mass = Quantity<struct MicrogramTag>;

/// A moment of the run, in microseconds since it began.
struct Instant {
  std::int64_t us{};

  friend constexpr auto operator<=>(const Instant&, const Instant&) = default;
  friend constexpr Instant operator+(Instant a, Duration b) { return {a.us + b.raw}; }
  friend constexpr Instant operator-(Instant a, Duration b) { return {a.us - b.raw}; }
  friend constexpr Duration operator-(Instant a, Instant b) { return {a.us - b.us}; }
};

/// Later than every instant of a run, yet far enough from the edge to add durations to it.
inline constexpr Instant kNever{INT64_MAX / 4};

inline constexpr std::int64_t kMicrosPerSecond = 1'000'000;

constexpr Duration halved_floor(Duration d) { return {d.raw >> 1}; }
constexpr Instant earlier(Instant a, Instant b) { return a < b ? a : b; }
constexpr Instant later(Instant a, Instant b) { return a < b ? b : a; }

/// Time to travel `distance` at `speed` > 0, rounded down.
constexpr Duration travel_time_floor(Length distance, Speed speed) {
  return {mul_div_floor(distance.raw, kMicrosPerSecond, speed.raw)};
}
/// Distance travelled in `time` at `speed`, rounded down.
constexpr Length travel_floor(Duration time, Speed speed) {
  return {mul_div_floor(time.raw, speed.raw, kMicrosPerSecond)};
}

inline namespace literals {
constexpr Duration operator""_us(unsigned long long v) { return {static_cast<std::int64_t>(v)}; }
constexpr Duration operator""_ms(unsigned long long v) {
  return {static_cast<std::int64_t>(v) * 1000};
}
constexpr Duration operator""_s(unsigned long long v) {
  return {static_cast<std::int64_t>(v) * kMicrosPerSecond};
}
constexpr Length operator""_um(unsigned long long v) { return {static_cast<std::int64_t>(v)}; }
constexpr Length operator""_mm(unsigned long long v) {
  return {static_cast<std::int64_t>(v) * 1000};
}
constexpr Mass operator""_ug(unsigned long long v) { return {static_cast<std::int64_t>(v)}; }
constexpr Mass operator""_mg(unsigned long long v) { return {static_cast<std::int64_t>(v) * 1000}; }
}  // namespace literals

}  // namespace rimebench
