#include "firmware_sim/core/dose.hpp"

namespace rimebench {
namespace {

constexpr std::int64_t kPpm = 1'000'000;

Duration expected_wait(const Recipe& recipe, int place, Speed speed) {
  switch (recipe.wait_source) {
    case WaitSource::kFixed:
      return recipe.wait_fixed;
    case WaitSource::kBeltSpeed:
    case WaitSource::kQueue:
      return speed > Speed{0} ? travel_time_floor(recipe.nozzle_to_seam, speed)
                              : Duration{kNever.us};
    case WaitSource::kPlace:
      return recipe.place_wait[static_cast<unsigned>(place)];
  }
  return recipe.wait_fixed;
}

}  // namespace

Dose dose_for(const Recipe& recipe, int place, Speed speed) {
  const Duration wait = expected_wait(recipe, place, speed);
  const std::int64_t gain = recipe.wait_curve.empty() ? kPpm : recipe.wait_curve.at(wait.raw);
  const std::int64_t mass = mul_div_floor(recipe.dose.raw, gain, kPpm);
  if (recipe.open_curve.empty()) return {wait, recipe.open_min, false};

  const Duration open{recipe.open_curve.at(mass)};
  if (open < recipe.open_min) return {wait, recipe.open_min, false};
  if (open > recipe.open_max) return {wait, recipe.open_max, false};
  return {wait, open, recipe.open_curve.spans(mass)};
}

}  // namespace rimebench
