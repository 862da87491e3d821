#pragma once

#include <string>

#include "harness/report/document.hpp"
#include "plant_model/planner/plan.hpp"

namespace rimebench {

/// A dose plan's report. `repeat` is the command that plans it again.
Document plan_dossier(const PlanSpec& spec, const DosePlan& plan, const std::string& repeat);

}  // namespace rimebench
