#pragma once

/// Strict YAML to a PlanSpec. container, product and line are those of a scenario and may refer to
/// the same files. Calibrations that the file leaves out are taken from a table and named in
/// PlanSpec::defaults; a few keys may be given in psi, degrees F and US measures instead.

#include <optional>
#include <string>

#include "harness/config/diagnostic.hpp"
#include "plant_model/spec/plan.hpp"

namespace rimebench {

/// Reads a plan file. nullopt after any mistake; `diagnostics` then has them all.
std::optional<PlanSpec> load_plan(const std::string& path, Diagnostics& diagnostics);

}  // namespace rimebench
