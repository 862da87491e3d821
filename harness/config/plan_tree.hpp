#pragma once

/// Reading a plan. What a plan file may say otherwise than a scenario: other units, and
/// calibrations left out. Both are put right in the tree, before it is read like any other.

#include <string>
#include <vector>

#include "harness/config/findings.hpp"
#include "harness/config/section.hpp"
#include "harness/config/tree.hpp"
#include "plant_model/spec/plan.hpp"

namespace rimebench {

/// Turns keys in psi, degrees F and US measures into the SI keys. Both of a pair is a mistake.
void convert_units(Value& plan, Findings& findings);

/// Takes container.kind out of the tree: what the container is made of decides some defaults.
std::string take_container_kind(Value& plan, Findings& findings);

/// Puts in the calibrations that the file left out, and returns them.
std::vector<PlanDefault> fill_defaults(Value& plan, const std::string& container_kind);

/// Reads the tree put right. All mistakes go to the section's Reading.
void read_plan(Section& root, PlanSpec& plan);

}  // namespace rimebench
