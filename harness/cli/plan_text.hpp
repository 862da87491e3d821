#pragma once

#include <string>

#include "plant_model/planner/plan.hpp"

namespace rimebench {

/// The plan for people: target and answer first, then what stands in the way, then each block.
std::string plan_text(const PlanSpec& spec, const DosePlan& plan);

}  // namespace rimebench
