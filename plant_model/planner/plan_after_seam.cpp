#include <array>
#include <numbers>

#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/nitrogenation.hpp"
#include "plant_model/physics/solubility.hpp"
#include "plant_model/planner/plan_checks.hpp"

namespace rimebench {

namespace {

constexpr double kMgPerKg = 1e6;
/// Uptake while a pack is moved on conveyors and pallets, 1/s [CAL].
constexpr double kMovingUptakePerS = 1.0 / 600.0;
constexpr auto kSeconds =
    std::to_array<double>({2.0, 10.0, 30.0, 60.0, 600.0, 3600.0, 86'400.0, 604'800.0});

/// Depth of the drink in a container as wide as its body.
double depth_m(const PlanSpec& spec) {
  const double width = static_cast<double>(spec.container.body_um) * 1e-6;
  return spec.product.fill_ml * 1e-6 / (std::numbers::pi / 4.0 * width * width);
}

/// Share of the way from prompt to equilibrium once the drink holds `share` of what it would hold
/// at the pressure of the moment.
double uptake_of(double share, double capacity_ratio) {
  return share * (1.0 + capacity_ratio) / (1.0 + share * capacity_ratio);
}

}  // namespace

void plan_after_seam(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  const Pack& pack = plan.places.front().pack;
  const double fill_c = spec.product.fill_temperature_c;
  const auto settled = packs.equilibrium_Pa(pack, fill_c);
  if (!pack.sealed || !settled || spec.product.dry) return;
  const physics::AtTemperature at = packs.model().at(fill_c);
  const double ratio = physics::nitrogen_capacity_ratio(*pack.sealed, at, *settled);
  const double diffusivity = physics::nitrogen_in_water_m2_per_s(kelvin(fill_c));
  for (const double seconds : kSeconds) {
    const double left = packs.model().left_kg(pack.sealed_kg, BoilStage::kUnderLid, seconds, 0.0);
    const physics::Sealed now = physics::not_yet_boiled(*pack.sealed, left);
    const double moving = physics::uptake_share(kMovingUptakePerS, ratio, seconds);
    const double resting =
        uptake_of(physics::diffusion_share(diffusivity, depth_m(spec), seconds), ratio);
    AfterSeam row{seconds, physics::gauge_after_uptake_Pa(now, at, moving),
                  physics::gauge_after_uptake_Pa(now, at, resting), 0.0};
    if (row.resting_Pa) {
      const physics::Sealed there = physics::divided(now, at, *row.resting_Pa, resting);
      row.resting_mg_per_kg =
          there.n2.dissolved * physics::kNitrogenMolarKg / there.drink_kg * kMgPerKg;
    }
    plan.after_seam.push_back(row);
  }
  const double fitted_from_K = physics::henry_fitted_range(physics::Gas::kNitrogen).from_K;
  if (kelvin(spec.checks.cold_c) < fitted_from_K || kelvin(fill_c) < fitted_from_K) {
    plan.notes.push_back({Severity::kCaution, "product.fill_temperature_c",
                          "the solubility of nitrogen is fitted from 5 C up; below, it is "
                          "extrapolated and may be 2 % off",
                          ""});
  }
}

}  // namespace rimebench
