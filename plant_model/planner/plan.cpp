#include "plant_model/planner/plan.hpp"

#include <algorithm>

#include "plant_model/planner/plan_checks.hpp"
#include "plant_model/planner/plan_recipe.hpp"
#include "plant_model/planner/sensitivity.hpp"
#include "plant_model/planner/surroundings.hpp"

namespace rimebench {

namespace {

/// The plan with the flow and jet of its bore put where the line keeps them.
PlanSpec with_jet(const PlanSpec& plan) {
  PlanSpec copy = plan;
  const Jet jet = jet_of(plan);
  copy.line.valve.flow_ug_per_us = jet.flow_kg_per_s * 1000.0;
  return copy;
}

void find_doses(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  for (const PlaceWait& wait : place_waits(spec)) {
    const auto landed = packs.landed_for_target(wait.expected);
    if (!landed || *landed <= 0.0) {
      note_no_dose(spec, packs, wait.expected, plan.notes);
      plan.places.clear();
      return;
    }
    PlacePlan place;
    place.wait = wait;
    place.pack = packs.forward(*landed, wait.expected);
    place.shot = shot_for(spec, plan.view, *landed);
    place.equilibrium_Pa = packs.target_equilibrium_Pa(place.pack);
    place.hot_prompt_Pa = packs.prompt_Pa(place.pack, plan.hottest_c);
    const Pack early = packs.forward(*landed, wait.shortest);
    place.hot_shortest_Pa = packs.prompt_Pa(early, plan.hottest_c);
    place.settled_shortest_Pa = packs.target_equilibrium_Pa(early);
    plan.places.push_back(place);
  }
  plan.solved = true;
}

void refusals_first(PlanNotes& notes) {
  std::stable_sort(notes.begin(), notes.end(),
                   [](const PlanNote& a, const PlanNote& b) { return a.severity < b.severity; });
}

}  // namespace

const char* target_key(TargetKind kind) {
  switch (kind) {
    case TargetKind::kEquilibrium:
      return "target.equilibrium_kpa";
    case TargetKind::kHeadspaceOxygen:
      return "target.headspace_oxygen_percent";
    case TargetKind::kTotalOxygen:
      return "target.total_package_oxygen_ppb";
    case TargetKind::kDissolvedNitrogen:
      return "target.dissolved_nitrogen_mg_per_kg";
  }
  return "target";
}

DosePlan make_plan(const PlanSpec& given) {
  const PlanSpec spec = with_jet(given);
  DosePlan plan;
  const PackPlan packs(spec);
  plan.view = nozzle_view(spec);
  plan.hot_allowed_Pa = spec.container.rating_kpa * 1000.0 / spec.container.rating_safety_factor;
  plan.hottest_c = std::max(spec.checks.store_c, spec.checks.tunnel_c.value_or(0.0));
  find_doses(spec, packs, plan);
  if (plan.solved) {
    std::vector<PlaceWait> waits;
    for (const PlacePlan& place : plan.places) waits.push_back(place.wait);
    plan.ramp_needed = needs_ramp(waits);
    plan.target_nitrogen_mg_per_kg =
        packs.dissolved_nitrogen_mg_per_kg(plan.places.front().pack, spec.target.at_c)
            .value_or(0.0);
    check_survival(spec, packs, plan);
    check_pressures(spec, packs, plan);
    check_shots(spec, packs, plan);
    check_queue(spec, plan);
    plan_oxygen(spec, packs, plan);
    plan_after_seam(spec, packs, plan);
    plan_supply_and_room(spec, plan);
    plan_stops(spec, packs, plan);
    plan.sensitivities = sensitivities(spec, plan);
  }
  plan_nitrogenation(spec, plan);
  if (plan.solved && !any_refusal(plan.notes)) plan_recipe(spec, packs, plan);
  refusals_first(plan.notes);
  return plan;
}

}  // namespace rimebench
