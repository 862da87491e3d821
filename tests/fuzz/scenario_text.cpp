#include "firmware_sim/units/demand.hpp"
#include "harness/config/load.hpp"
#include "tests/fuzz/targets.hpp"

namespace rimebench::fuzz {

/// A text is a scenario, and then reads back as itself, or at least one mistake is told.
void scenario_text(Input bytes) {
  const std::string text(bytes.begin(), bytes.end());
  Diagnostics diagnostics;
  const auto scenario = parse_resolved(text, diagnostics);
  DEMAND(scenario.has_value() == diagnostics.empty());
  for (const Diagnostic& diagnostic : diagnostics) DEMAND(!to_text(diagnostic).empty());
  if (!scenario) return;
  const auto again = parse_resolved(scenario->resolved_text, diagnostics);
  DEMAND(again.has_value() && again->resolved_text == scenario->resolved_text);
}

}  // namespace rimebench::fuzz
