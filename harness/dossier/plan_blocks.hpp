#pragma once

/// The parts of a plan's report.

#include "harness/report/document.hpp"
#include "plant_model/planner/plan.hpp"

namespace rimebench {

TableBlock plan_notes_table(const DosePlan& plan);
TableBlock plan_places_table(const DosePlan& plan);
/// Where the liquid of place 1 goes, from the nozzle to the seam.
FactsBlock plan_losses_facts(const PlanSpec& spec, const DosePlan& plan);
FactsBlock plan_timing_facts(const PlanSpec& spec, const DosePlan& plan);
TableBlock plan_pressures_table(const DosePlan& plan);
TableBlock plan_after_seam_table(const DosePlan& plan);
FactsBlock plan_oxygen_facts(const DosePlan& plan);
/// What one step of each figure does to the settled pressure.
BarsBlock plan_sensitivities(const DosePlan& plan);
FactsBlock plan_supply_facts(const DosePlan& plan);
TableBlock plan_vessels_table(const PlanSpec& spec, const DosePlan& plan);
FactsBlock plan_room_facts(const PlanSpec& spec, const DosePlan& plan);
TableBlock plan_stops_table(const DosePlan& plan);
TableBlock plan_recipe_table(const DosePlan& plan);
/// The limits that the plan keeps; nobody has approved them yet.
SignoffBlock plan_signoff(const PlanSpec& spec, const DosePlan& plan);

/// Gauge, or that the container is full of liquid.
Cell pressure_cell(const std::optional<double>& gauge_Pa);

}  // namespace rimebench
