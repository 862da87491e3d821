#include "firmware_sim/core/dose.hpp"

#include "firmware_sim/core/limits.hpp"

namespace rimebench {

Dose at_head(Dose dose, const HeadGain& head, const Recipe& recipe) {
  const Duration open{mul_div_floor(dose.open.raw, head.open_ppm, kPpm)};
  if (open < recipe.open_min) return {dose.expected_wait, dose.mass, recipe.open_min, false};
  if (open > recipe.open_max) return {dose.expected_wait, dose.mass, recipe.open_max, false};
  dose.open = open;
  return dose;
}

Dose dose_for(const Recipe& recipe, Duration expected_wait) {
  const std::int64_t gain =
      recipe.wait_curve.empty() ? kPpm : recipe.wait_curve.at(expected_wait.raw);
  const Mass mass{mul_div_floor(recipe.dose.raw, gain, kPpm)};
  if (recipe.open_curve.empty()) return {expected_wait, mass, recipe.open_min, false};

  const Duration open{recipe.open_curve.at(mass.raw)};
  if (open < recipe.open_min) return {expected_wait, mass, recipe.open_min, false};
  if (open > recipe.open_max) return {expected_wait, mass, recipe.open_max, false};
  return {expected_wait, mass, open, recipe.open_curve.spans(mass.raw)};
}

}  // namespace rimebench
