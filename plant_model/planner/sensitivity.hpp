#pragma once

#include "plant_model/planner/plan.hpp"

namespace rimebench {

/// What a step of each figure changes in the equilibrium pressure of place 1, its shot unchanged:
/// largest first, so that the user sees what to measure first.
std::vector<Sensitivity> sensitivities(const PlanSpec& spec, const DosePlan& plan);

}  // namespace rimebench
