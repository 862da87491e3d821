#include "plant_model/line/pressure_check.hpp"

#include "plant_model/kernel/random.hpp"
#include "plant_model/line/sources.hpp"

namespace rimebench {

namespace {

constexpr Duration kPulseWidth = 5_ms;
constexpr double kPaPerKpa = 1000.0;

}  // namespace

bool PressureCheck::pass(Instant at, std::int64_t container, std::int64_t true_pa,
                         InputQueue& inputs) const {
  const PressureCheckSpec& check = *spec_.line.pressure_check;
  RandomStream chance(spec_.seed, static_cast<std::uint32_t>(Source::kPressureCheck),
                      static_cast<std::uint64_t>(container));
  const double read = static_cast<double>(true_pa) + chance.normal() * check.sd_kpa * kPaPerKpa;
  if (chance.happens(static_cast<std::uint32_t>(check.misses_ppm))) return false;
  const bool low = read < check.low_kpa * kPaPerKpa;
  const bool high = read > check.high_kpa * kPaPerKpa;
  if (!low && !high) return false;
  if (wired()) {
    const Instant told = at + Duration{check.delay_us};
    const Channel channel = low ? Channel::kPressureLow : Channel::kPressureHigh;
    inputs.put({told, channel, 1});
    inputs.put({told + kPulseWidth, channel, 0});
  }
  return check.ejects;
}

/// About the moment at which the container is due at the gate.
void PressureCheck::strike(Instant at) {
  const PressureCheckSpec& check = *spec_.line.pressure_check;
  const Instant middle = at + Duration{check.strikes_after_us};
  const Duration half{check.strikes_for_us / 2};
  strokes_.push_back({middle - half, middle + half});
}

bool PressureCheck::strikes(Instant at) {
  while (!strokes_.empty() && strokes_.front().to < at) strokes_.pop_front();
  return !strokes_.empty() && strokes_.front().from <= at;
}

Instant PressureCheck::horizon(Instant reached) const {
  return wired() ? reached + Duration{spec_.line.pressure_check->delay_us} : kNever;
}

}  // namespace rimebench
