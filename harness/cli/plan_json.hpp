#pragma once

#include <string>

#include "plant_model/planner/plan.hpp"

namespace rimebench {

/// The plan as JSON with a fixed order of keys. A figure that has no finite answer, such as the
/// pressure of a liquid-full pack, is null.
std::string plan_json(const PlanSpec& spec, const DosePlan& plan);

}  // namespace rimebench
