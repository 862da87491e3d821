#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/oxygen.hpp"
#include "plant_model/planner/plan_checks.hpp"

namespace rimebench {

namespace {

constexpr double kMg = 1e6;
constexpr double kEvaporatedMostKg = 0.05;

/// Headspace volumes at the fill's temperature that so much nitrogen makes.
double volumes_of(const PlanSpec& spec, const PackPlan& packs, double kg) {
  const double m3 = kg * physics::kGasConstant * kelvin(spec.product.fill_temperature_c) /
                    (physics::kNitrogenMolarKg * physics::kAtmospherePa);
  return m3 * 1e6 / packs.headspace_ml();
}

/// Nitrogen that must boil off before the lid so that no more than this share of the air is left;
/// nothing where air ingress keeps it above.
std::optional<double> boil_off_for(const PackPlan& packs, double air_fraction, double open_s) {
  const double drink_kg = packs.model().drink_kg(0.0);
  const auto gone = [&](double kg) {
    return air_fraction - packs.model().gas_at_seam(drink_kg, kg, open_s, 0.0).air_fraction;
  };
  return first_zero(gone, kEvaporatedMostKg);
}

/// Share of the air that may stay for a total of so many ppb; negative where the drink alone
/// brings more.
double air_for_total(const Pack& pack, double ppb) {
  const double dissolved = physics::dissolved_oxygen_ppb(*pack.sealed);
  const double gas = physics::total_package_oxygen_ppb(*pack.sealed) - dissolved;
  return gas > 0.0 ? pack.gas.air_fraction * (ppb - dissolved) / gas : 1.0;
}

void note_unreached(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan, const char* key,
                    double air_fraction) {
  const PlacePlan& first = plan.places.front();
  const double boiled = first.pack.evaporated_kg();
  std::string nearest;
  if (air_fraction <= 0.0) {
    nearest = "none with nitrogen: the drink's own oxygen is more than that, so de-aerate it";
  } else if (const auto needed = boil_off_for(packs, air_fraction, first.wait.expected.belt_s)) {
    nearest = "a second, early shot that boils off another " +
              figure((*needed - boiled) * kMg, 0, "mg") + " before the lid, in all " +
              figure(volumes_of(spec, packs, *needed), 1, "headspace volumes") +
              "; or a flush under the lid";
  } else {
    nearest = "less air drawn in while the container is open, or a flush under the lid";
  }
  plan.notes.push_back({Severity::kRefused, key,
                        "the pressurising dose does not reach it: " +
                            figure(boiled * kMg, 1, "mg") + " boil off before the seam, " +
                            figure(volumes_of(spec, packs, boiled), 2, "headspace volumes") +
                            ", and leave " + figure(plan.oxygen.headspace_percent, 1, "%") +
                            " of oxygen, " + figure(plan.oxygen.total_ppb, 0, "ppb in all"),
                        nearest});
}

}  // namespace

void plan_oxygen(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  const Pack& pack = plan.places.front().pack;
  if (!pack.sealed) return;
  plan.oxygen.headspace_percent = pack.gas.air_fraction * physics::kOxygenInDryAir * 100.0;
  plan.oxygen.total_ppb = physics::total_package_oxygen_ppb(*pack.sealed);
  plan.oxygen.dissolved_ppb = physics::dissolved_oxygen_ppb(*pack.sealed);
  plan.oxygen.sweep_volumes = volumes_of(spec, packs, pack.evaporated_kg());
  const PlanTarget& target = spec.target;
  const auto& percent = target.headspace_oxygen_percent_max;
  if (percent && plan.oxygen.headspace_percent > *percent) {
    note_unreached(spec, packs, plan, "target.headspace_oxygen_percent_max",
                   *percent / 100.0 / physics::kOxygenInDryAir);
  }
  const auto& ppb = target.total_oxygen_ppb_max;
  if (ppb && plan.oxygen.total_ppb > *ppb) {
    note_unreached(spec, packs, plan, "target.total_oxygen_ppb_max", air_for_total(pack, *ppb));
  }
}

}  // namespace rimebench
