#pragma once

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "harness/config/plan_file.hpp"
#include "plant_model/planner/plan.hpp"

namespace rimebench {

/// A plan file of the repository, which must be good.
inline PlanSpec plan_file(const std::string& name) {
  Diagnostics diagnostics;
  auto spec = load_plan(std::string(REPOSITORY_DIR) + "/config/plans/" + name, diagnostics);
  for (const Diagnostic& diagnostic : diagnostics) MESSAGE(to_text(diagnostic));
  REQUIRE(spec.has_value());
  return *spec;
}

inline PlanSpec worked_plan() { return plan_file("worked_example.yaml"); }
inline PlanSpec inline4_plan() { return plan_file("inline4_can_355.yaml"); }

/// The first note on this key that is at least this severe; nothing if there is none.
inline const PlanNote* note_on(const DosePlan& plan, const std::string& key,
                               Severity severity = Severity::kRefused) {
  const auto found = std::find_if(plan.notes.begin(), plan.notes.end(), [&](const PlanNote& note) {
    return note.key == key && note.severity == severity;
  });
  return found != plan.notes.end() ? &*found : nullptr;
}

inline bool near(double value, double expected, double relative = 1.0e-3) {
  return std::abs(value - expected) <= relative * std::abs(expected);
}

}  // namespace rimebench
