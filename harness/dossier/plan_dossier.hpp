#pragma once

#include <string>

#include "harness/judge/verdict.hpp"
#include "harness/report/document.hpp"
#include "plant_model/planner/plan.hpp"

namespace rimebench {

/// Fail: it was refused. Inconclusive: the drink foams, so a trial has to show.
Outcome outcome_of(const PlanSpec& spec, const DosePlan& plan);

/// A dose plan's report. `repeat` is the command that plans it again.
Document plan_dossier(const PlanSpec& spec, const DosePlan& plan, const std::string& repeat);

}  // namespace rimebench
