#include "harness/cli/scenario_files.hpp"

#include <ostream>

namespace rimebench {

std::optional<std::vector<Scenario>> load_scenarios(const std::vector<std::string>& files,
                                                    const ScenarioOverrides& overrides,
                                                    std::ostream& err) {
  std::vector<Scenario> scenarios;
  Diagnostics diagnostics;
  for (const std::string& file : files) {
    auto scenario = load_scenario(file, overrides, diagnostics);
    if (scenario) scenarios.push_back(std::move(*scenario));
  }
  for (const Diagnostic& diagnostic : diagnostics) err << to_text(diagnostic) << "\n";
  if (!diagnostics.empty()) return std::nullopt;
  return scenarios;
}

}  // namespace rimebench
