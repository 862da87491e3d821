#pragma once

/// What a plan must not do to a pack or a line. Each check adds its notes.

#include "plant_model/planner/plan.hpp"

namespace rimebench {

/// Why no dose was found after this wait, or the dose found is none.
void note_no_dose(const PlanSpec& spec, const PackPlan& packs, const Wait& wait, PlanNotes& notes);

/// Too much boils away for the rest to be trusted.
void check_survival(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan);

/// Prompt pressure against the rating: as planned, sealed at once, overfilled; and the low side.
void check_pressures(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan);

/// Valve, streak, opening, sensor and speed.
void check_shots(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan);

/// The queue in front of the seamer.
void check_queue(const PlanSpec& spec, DosePlan& plan);

/// Pressure of place 1 in the time after the seam, and how reliable its solubility is.
void plan_after_seam(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan);

/// Oxygen in headspace and drink, and what would reach a limit that the dose does not.
void plan_oxygen(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan);

}  // namespace rimebench
