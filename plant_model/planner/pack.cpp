#include "plant_model/planner/pack.hpp"

#include <algorithm>

#include "plant_model/physics/oxygen.hpp"
#include "plant_model/physics/solubility.hpp"

namespace rimebench {

namespace {

constexpr double kSecondsPerDay = 86'400.0;
/// No container is dosed with more: ten times what bursts any can.
constexpr double kLandedMostKg = 0.05;
constexpr double kMgPerKg = 1e6;
/// In place of a pressure where liquid fills the pack: beyond every target.
constexpr double kBeyondAll = 1e12;
constexpr int kHalvingsMax = 200;
constexpr double kRelativeTolerance = 1e-13;
constexpr double kFirstStepShare = 1e-4;

}  // namespace

std::optional<double> first_zero(const std::function<double(double)>& rising, double most) {
  if (rising(0.0) >= 0.0) return 0.0;
  double low = 0.0;
  double high = most * kFirstStepShare;
  while (rising(high) < 0.0) {
    low = high;
    if (high >= most) return std::nullopt;
    high = std::min(2.0 * high, most);
  }
  for (int i = 0; i < kHalvingsMax && high - low > kRelativeTolerance * high; ++i) {
    const double middle = 0.5 * (low + high);
    (rising(middle) < 0.0 ? low : high) = middle;
  }
  return high;
}

PackPlan::PackPlan(const PlanSpec& plan)
    : plan_(plan),
      model_(plan.container, plan.product, plan.line),
      at_target_(model_.at(plan.target.at_c, plan.target.after_days * kSecondsPerDay)) {}

Pack PackPlan::forward(double landed_kg, const Wait& wait, const PackChange& change) const {
  Pack pack;
  pack.landed_kg = landed_kg;
  const double at_lid = model_.left_kg(landed_kg, BoilStage::kBelt, wait.belt_s, 0.0);
  pack.sealed_kg = model_.left_kg(at_lid, BoilStage::kUnderLid, wait.lid_s, 0.0);
  const double drink_kg =
      model_.drink_kg(0.0) * (plan_.product.fill_ml + change.fill_ml) / plan_.product.fill_ml;
  pack.gas = model_.gas_at_seam(drink_kg, pack.evaporated_kg(), wait.belt_s, 0.0);
  pack.gas.gas_K += change.gas_K;
  pack.sealed = model_.seal(drink_kg, pack.gas, pack.sealed_kg);
  return pack;
}

double PackPlan::excess(const Pack& pack) const {
  if (!pack.sealed) return kBeyondAll;
  const PlanTarget& target = plan_.target;
  switch (target.kind) {
    case TargetKind::kEquilibrium:
      return target_equilibrium_Pa(pack).value_or(kBeyondAll) - target.value * 1000.0;
    case TargetKind::kHeadspaceOxygen:
      return target.value - pack.gas.air_fraction * physics::kOxygenInDryAir * 100.0;
    case TargetKind::kTotalOxygen:
      return target.value - physics::total_package_oxygen_ppb(*pack.sealed);
    case TargetKind::kDissolvedNitrogen:
      return dissolved_nitrogen_mg_per_kg(pack, target.at_c).value_or(kBeyondAll) - target.value;
  }
  return kBeyondAll;
}

std::optional<double> PackPlan::landed_for_target(const Wait& wait) const {
  return first_zero([&](double landed) { return excess(forward(landed, wait)); }, kLandedMostKg);
}

std::optional<double> PackPlan::landed_for_prompt_Pa(double gauge_Pa, double celsius,
                                                     const Wait& wait) const {
  const auto over = [&](double landed) {
    return prompt_Pa(forward(landed, wait), celsius).value_or(kBeyondAll) - gauge_Pa;
  };
  if (over(0.0) > 0.0) return std::nullopt;
  return first_zero(over, kLandedMostKg);
}

std::optional<double> PackPlan::prompt_Pa(const Pack& pack, double celsius) const {
  if (!pack.sealed) return std::nullopt;
  return physics::prompt_gauge_Pa(*pack.sealed, model_.at(celsius));
}

std::optional<double> PackPlan::equilibrium_Pa(const Pack& pack, double celsius) const {
  if (!pack.sealed) return std::nullopt;
  return physics::equilibrium_gauge_Pa(*pack.sealed, model_.at(celsius));
}

std::optional<double> PackPlan::target_equilibrium_Pa(const Pack& pack) const {
  if (!pack.sealed) return std::nullopt;
  return physics::equilibrium_gauge_Pa(*pack.sealed, at_target_);
}

std::optional<double> PackPlan::dissolved_nitrogen_mg_per_kg(const Pack& pack,
                                                             double celsius) const {
  if (!pack.sealed) return std::nullopt;
  const physics::AtTemperature at = model_.at(celsius);
  const auto gauge = physics::equilibrium_gauge_Pa(*pack.sealed, at);
  if (!gauge) return std::nullopt;
  const physics::Sealed settled = physics::divided(*pack.sealed, at, *gauge, 1.0);
  return settled.n2.dissolved * physics::kNitrogenMolarKg / settled.drink_kg * kMgPerKg;
}

double PackPlan::headspace_ml() const {
  const physics::AtTemperature at_fill = model_.at(plan_.product.fill_temperature_c);
  return physics::headspace_m3(model_.drink_kg(0.0), at_fill) * 1e6 - plan_.container.insert_gas_ml;
}

}  // namespace rimebench
