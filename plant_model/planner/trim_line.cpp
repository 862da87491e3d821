#include "plant_model/planner/trim_line.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "plant_model/planner/waits.hpp"
#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

constexpr double kKgPerUg = 1e-9;
constexpr double kPpm = 1e6;
/// No dose is larger.
constexpr double kDoseMaxUg = 1e7;
constexpr int kHalvings = 60;

/// The line at its fastest, nothing in the way.
Wait unhindered(const PlantSpec& spec) {
  return unhindered_wait(spec.line, fastest_um_per_s(spec) * kMetresPerUm);
}

LineSpec with(LineSpec line, const LineConstants& constants) {
  line.boil_off.tau_lid_s *= constants.tau_s / line.boil_off.tau_belt_s;
  line.boil_off.tau_belt_s = constants.tau_s;
  line.boil_off.exponent = constants.exponent;
  return line;
}

/// A recipe's curve, straight between its points, held at its ends.
double on_curve(const RecipeValues& recipe, Parameter x, Parameter y, double at) {
  if (at <= recipe.get(x)) return recipe.get(y);
  for (int i = 1; i < kCurvePoints && recipe.get(x, i) > recipe.get(x, i - 1); ++i) {
    const double left = recipe.get(x, i - 1), right = recipe.get(x, i);
    const double below = recipe.get(y, i - 1), above = recipe.get(y, i);
    if (at <= right) return below + (above - below) * (at - left) / (right - left);
  }
  int last = 0;
  while (last + 1 < kCurvePoints && recipe.get(x, last + 1) > recipe.get(x, last)) ++last;
  return recipe.get(y, last);
}

}  // namespace

LineConstants constants_of(const LineSpec& line) {
  return {line.boil_off.tau_belt_s, line.boil_off.exponent, 1.0};
}

double expected_wait_s(const PlantSpec& spec, int place) {
  const RecipeValues& recipe = spec.recipe;
  const auto source = static_cast<WaitSource>(recipe.get(Parameter::kWaitSource));
  switch (source) {
    case WaitSource::kFixed:
      return seconds(recipe.get(Parameter::kWaitFixedUs));
    case WaitSource::kBeltSpeed:
      return recipe.get(Parameter::kNozzleToSeamUm) / fastest_um_per_s(spec);
    case WaitSource::kPlace:
      return seconds(recipe.get(Parameter::kPlaceWaitUs, place - 1));
    case WaitSource::kQueue: {
      const double belt = fastest_um_per_s(spec);
      const double apart = static_cast<double>(spec.line.filler.head_pitch_um) / belt;
      const double cycle = seconds(recipe.get(Parameter::kSeamerCycleUs));
      return recipe.get(Parameter::kNozzleToSeamUm) / belt +
             seconds(recipe.get(Parameter::kSeamerToSeamUs)) +
             (place - 1) * std::max(cycle - apart, 0.0);
    }
  }
  return 0.0;
}

double shortest_wait_s(const PlantSpec& spec, int place) {
  const LineSpec& line = spec.line;
  const double unhindered_s = unhindered(spec).total();
  if (line.transport == Transport::kLocked) return unhindered_s;
  const auto source = static_cast<PlaceSource>(spec.recipe.get(Parameter::kPlaceSource));
  const bool counted = source == PlaceSource::kContainersAhead;
  const double apart = static_cast<double>(line.filler.head_pitch_um) / fastest_um_per_s(spec);
  const double cycle = seconds(line.seamer.cycle_us);
  const double behind = counted ? (place - 1) * std::max(cycle - apart, 0.0) : 0.0;
  return unhindered_s + behind;
}

double recipe_dose_ug(const RecipeValues& recipe, double wait_s) {
  const bool flat = recipe.get(Parameter::kWaitCurvePpm) == 0;
  const double gain = flat ? kPpm
                           : on_curve(recipe, Parameter::kWaitCurveUs, Parameter::kWaitCurvePpm,
                                      wait_s * kMicrosPerSecond);
  return recipe.get(Parameter::kDoseUg) * gain / kPpm;
}

double open_us_of(const RecipeValues& recipe, double dose_ug) {
  return on_curve(recipe, Parameter::kOpenCurveUg, Parameter::kOpenCurveUs, dose_ug);
}

double dose_ug_of(const RecipeValues& recipe, double open_us) {
  return on_curve(recipe, Parameter::kOpenCurveUs, Parameter::kOpenCurveUg, open_us);
}

TrimLine::TrimLine(const PlantSpec& spec, const LineConstants& constants)
    : line_(with(spec.line, constants)),
      package_(spec.container, spec.product, line_),
      landed_share_(constants.valve_bias *
                    physics::landed_share({line_.losses.flash_percent / 100.0,
                                           line_.losses.flight_percent / 100.0,
                                           line_.losses.splash_percent / 100.0, 0.0})),
      under_lid_s_(unhindered(spec).lid_s) {}

double TrimLine::landed_kg(double dose_ug) const { return dose_ug * kKgPerUg * landed_share_; }

double TrimLine::left_kg(double dose_ug, double wait_s) const {
  const double lid = std::min(under_lid_s_, wait_s);
  const double open = package_.left_kg(landed_kg(dose_ug), BoilStage::kBelt, wait_s - lid, 0.0);
  return package_.left_kg(open, BoilStage::kUnderLid, lid, 0.0);
}

std::optional<physics::Sealed> TrimLine::sealed(double dose_ug, double wait_s,
                                                double drink_kg) const {
  return sealed_with(left_kg(dose_ug, wait_s), dose_ug, wait_s, drink_kg);
}

std::optional<physics::Sealed> TrimLine::sealed_with(double liquid_kg, double dose_ug,
                                                     double wait_s, double drink_kg) const {
  const double evaporated = landed_kg(dose_ug) - left_kg(dose_ug, wait_s);
  const double open_s = std::max(wait_s - under_lid_s_, 0.0);
  const auto gas = package_.gas_at_seam(drink_kg, evaporated, open_s, 0.0);
  return package_.seal(drink_kg, gas, liquid_kg);
}

std::optional<double> TrimLine::dose_ug_for(double target_Pa, double wait_s,
                                            const physics::AtTemperature& at) const {
  const double drink = nominal_drink_kg();
  const auto too_much = [&](double dose_ug) {
    const auto pack = sealed(dose_ug, wait_s, drink);
    const auto pressure = pack ? physics::equilibrium_gauge_Pa(*pack, at) : std::nullopt;
    return !pressure || *pressure > target_Pa;
  };
  double low = 0.0, high = kDoseMaxUg;
  if (too_much(low) || !too_much(high)) return std::nullopt;
  for (int i = 0; i < kHalvings; ++i) {
    const double middle = 0.5 * (low + high);
    (too_much(middle) ? high : low) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace rimebench
