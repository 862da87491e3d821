#pragma once

/// The recipe that a plan comes to: what the controller is loaded with.

#include "plant_model/planner/plan.hpp"

namespace rimebench {

/// Fills in plan.recipe, or notes why a value cannot be expressed.
void plan_recipe(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan);

/// A sensor level shorter than this is taken for chatter: less than a tenth of what a container
/// shows at this belt speed.
std::int64_t debounce_us(const PlanSpec& spec, double belt_m_per_s);

}  // namespace rimebench
