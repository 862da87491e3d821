#include <algorithm>
#include <cmath>

#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/oxygen.hpp"
#include "plant_model/planner/plan_checks.hpp"

namespace rimebench {

namespace {

/// In place of a pressure where liquid fills the pack.
constexpr double kLiquidFull = 1e12;
constexpr double kFillDeviations = 3.0;
constexpr int kHalvings = 60;

void add(PlanNotes& notes, Severity severity, const char* key, std::string text,
         std::string nearest = {}) {
  notes.push_back({severity, key, std::move(text), std::move(nearest)});
}

std::string celsius(double c) { return figure(c, 0, "C"); }

std::string pressure_text(const std::optional<double>& gauge_Pa) {
  return gauge_Pa ? kpa_psi(*gauge_Pa) : "liquid-full";
}

/// Greatest fill, in ml, that keeps the hot prompt pressure under its limit with the dose as it is.
double fill_limit_ml(const PlanSpec& spec, const PackPlan& packs, const DosePlan& plan) {
  const PlacePlan& first = plan.places.front();
  const auto over = [&](double fill_ml) {
    const Pack pack = packs.forward(first.pack.landed_kg, first.wait.expected,
                                    {fill_ml - spec.product.fill_ml, 0.0});
    return packs.prompt_Pa(pack, plan.hottest_c).value_or(kLiquidFull) > plan.hot_allowed_Pa;
  };
  double low = 0.1 * spec.product.fill_ml;
  double high = spec.container.brimful_ml;
  for (int i = 0; i < kHalvings; ++i) {
    const double middle = 0.5 * (low + high);
    (over(middle) ? high : low) = middle;
  }
  return low;
}

/// The highest target that the limit leaves room for, as text.
std::string highest_target(const PlanSpec& spec, const PackPlan& packs, double limit_Pa,
                           double at_c, const Wait& wait) {
  const auto landed = packs.landed_for_prompt_Pa(limit_Pa, at_c, wait);
  if (!landed) return "none: even without nitrogen the pack goes beyond it, so fill less";
  const Pack pack = packs.forward(*landed, wait);
  const auto settled = packs.target_equilibrium_Pa(pack);
  if (!settled) return {};
  if (spec.target.kind == TargetKind::kHeadspaceOxygen) {
    return figure(pack.gas.air_fraction * physics::kOxygenInDryAir * 100.0, 1, "% of oxygen");
  }
  if (spec.target.kind == TargetKind::kTotalOxygen) {
    return figure(physics::total_package_oxygen_ppb(*pack.sealed), 0, "ppb of oxygen");
  }
  return kpa_psi(std::floor(*settled / 100.0) * 100.0) + " equilibrium at " +
         celsius(spec.target.at_c);
}

void check_hot(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  const PlacePlan& first = plan.places.front();
  const double limit_ml = fill_limit_ml(spec, packs, plan);
  const double sd = spec.product.fill_sd_ml;
  plan.fill_limit = FillLimit{limit_ml, sd > 0.0 ? (limit_ml - spec.product.fill_ml) / sd : 0.0};
  const std::string rating = "the rating " + kpa_psi(spec.container.rating_kpa * 1000.0) +
                             " over " + figure(spec.container.rating_safety_factor, 2, "") + "= " +
                             kpa_psi(plan.hot_allowed_Pa);
  if (!first.hot_prompt_Pa) {
    add(plan.notes, Severity::kRefused, "product.fill_ml",
        "at " + celsius(plan.hottest_c) + " the liquid fills the whole pack: nothing holds that",
        figure(limit_ml, 1, "ml"));
    return;
  }
  if (*first.hot_prompt_Pa > plan.hot_allowed_Pa) {
    add(plan.notes, Severity::kRefused, target_key(spec.target.kind),
        "prompt pressure at " + celsius(plan.hottest_c) + " is " + kpa_psi(*first.hot_prompt_Pa) +
            ", over " + rating,
        highest_target(spec, packs, plan.hot_allowed_Pa, plan.hottest_c, first.wait.expected) +
            "; or a fill of " + figure(limit_ml, 1, "ml") + " with the same dose");
  } else if (sd > 0.0 && plan.fill_limit->deviations < kFillDeviations) {
    add(plan.notes, Severity::kWarned, "product.fill_ml",
        "an overfill goes too far: above " + figure(limit_ml, 1, "ml") + ", only " +
            figure(plan.fill_limit->deviations, 1, "") +
            "standard deviations over the fill, the hot check fails with the same dose",
        figure(limit_ml - kFillDeviations * sd, 1, "ml"));
  }
}

void check_deformation(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  const double limit_Pa = spec.container.deformation_kpa * 1000.0;
  if (limit_Pa <= 0.0) return;
  const PlacePlan& first = plan.places.front();
  const auto at_store = packs.prompt_Pa(first.pack, spec.checks.store_c);
  if (at_store && *at_store <= limit_Pa) return;
  add(plan.notes, Severity::kRefused, "container.deformation_kpa",
      "prompt pressure at " + celsius(spec.checks.store_c) + " is " + pressure_text(at_store) +
          ", over the " + kpa_psi(limit_Pa) + " at which the bottle loses its shape",
      highest_target(spec, packs, limit_Pa, spec.checks.store_c, first.wait.expected));
}

void check_vacuum(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  const PlacePlan& first = plan.places.front();
  const double cold_c = spec.checks.cold_c;
  plan.undosed_cold_Pa = packs.equilibrium_Pa(packs.forward(0.0, first.wait.expected), cold_c);
  const auto cold = packs.equilibrium_Pa(first.pack, cold_c);
  if (!cold || *cold >= 0.0 || spec.product.dry) return;
  add(plan.notes, Severity::kWarned, target_key(spec.target.kind),
      "at " + celsius(cold_c) +
          " the drink takes up the headspace gas and pulls a vacuum: " + kpa_psi(*cold),
      "a target that leaves some pressure cold");
}

/// A dose for a long wait in a pack that is seamed at once.
void check_shortest(const PlanSpec& spec, DosePlan& plan) {
  std::string places;
  double worst = 0.0;
  bool full = false;
  for (const PlacePlan& place : plan.places) {
    const bool waits = place.wait.expected.total() > place.wait.shortest.total();
    const bool over = !place.hot_shortest_Pa || *place.hot_shortest_Pa > plan.hot_allowed_Pa;
    if (!waits || !over) continue;
    places += (places.empty() ? "" : ", ") + std::to_string(place.wait.place);
    full = full || !place.hot_shortest_Pa;
    worst = std::max(worst, place.hot_shortest_Pa.value_or(0.0));
  }
  if (places.empty()) return;
  const std::string text = "sealed after the shortest possible wait, the dose of place " + places +
                           " comes to " + (full ? std::string("liquid-full") : kpa_psi(worst)) +
                           " prompt at " + celsius(plan.hottest_c) + ", over the allowed " +
                           kpa_psi(plan.hot_allowed_Pa);
  if (spec.checks.place_source == PlaceSource::kContainersAhead) {
    add(plan.notes, Severity::kWarned, "checks.place_source",
        text +
            ": the recipe must count the queue, as this one does; a container taken out by hand "
            "between nozzle and seamer means that the rest of its group is discarded");
  } else {
    add(plan.notes, Severity::kRefused, "checks.place_source", text,
        "containers_ahead: places counted from the seamer");
  }
}

void fill_rows(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  const Pack& pack = plan.places.front().pack;
  const auto row = [&](double at_c, const char* what, bool checked) {
    plan.pressures.push_back(
        {at_c, what, packs.prompt_Pa(pack, at_c), packs.equilibrium_Pa(pack, at_c), checked});
  };
  row(spec.checks.cold_c, "cold", false);
  row(spec.target.at_c, "target", false);
  row(spec.checks.store_c, "store", true);
  if (spec.checks.tunnel_c) {
    row(*spec.checks.tunnel_c, "tunnel", true);
  } else {
    row(60.0, "tunnel, not planned", false);
    row(63.0, "tunnel, not planned", false);
  }
}

}  // namespace

void check_pressures(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  fill_rows(spec, packs, plan);
  check_hot(spec, packs, plan);
  check_shortest(spec, plan);
  check_deformation(spec, packs, plan);
  check_vacuum(spec, packs, plan);
  if (foams(spec.product)) {
    add(plan.notes, Severity::kWarned, "product.carbonation_volumes",
        "trial required: the drink foams, a dose makes it fob, and every pressure here is only "
        "indicative");
  }
}

}  // namespace rimebench
