#include "firmware_sim/core/dose.hpp"

#include "firmware_sim/core/limits.hpp"

namespace rimebench {
namespace {

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
  return recipe.wait_fixed;  // unreached: the table holds wait_source to its own names
}

}  // namespace

Dose at_head(Dose dose, const HeadGain& head, const Recipe& recipe) {
  const Duration open{mul_div_floor(dose.open.raw, head.open_ppm, kPpm)};
  if (open < recipe.open_min) return {dose.expected_wait, recipe.open_min, false};
  if (open > recipe.open_max) return {dose.expected_wait, recipe.open_max, false};
  dose.open = open;
  return dose;
}

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
