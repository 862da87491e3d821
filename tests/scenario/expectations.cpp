/// Every scenario of the demo gives the verdict that it announces.

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include "harness/config/load.hpp"
#include "tests/support/verdict_of.hpp"

using namespace rimebench;

namespace {

std::vector<std::string> demo_files() {
  std::vector<std::string> files;
  for (const auto& entry :
       std::filesystem::directory_iterator(REPOSITORY_DIR "/config/scenarios")) {
    const std::filesystem::path& file = entry.path();
    if (file.extension() == ".yaml") files.push_back(file);
  }
  std::ranges::sort(files);
  return files;
}

std::vector<Scenario> demo_scenarios() {
  std::vector<Scenario> scenarios;
  for (const std::string& file : demo_files()) {
    CAPTURE(file);
    Diagnostics mistakes;
    auto scenario = load_scenario(file, {}, mistakes);
    REQUIRE(scenario.has_value());
    scenarios.push_back(std::move(*scenario));
  }
  return scenarios;
}

}  // namespace

TEST_CASE("scenarios: each one of the demo gives the verdict that it announces") {
  const std::vector<Scenario> scenarios = demo_scenarios();
  CHECK(scenarios.size() >= 10);
  for (const Scenario& scenario : scenarios) {
    if (scenario.is_long) continue;  // each has a test of its own
    const Verdict verdict = test::verdict_of(scenario);
    INFO(scenario.name, ": ", verdict.reason);
    CHECK(verdict.outcome == expected_outcome(scenario.claim));
  }
}

TEST_CASE("scenarios: each says in a sentence of its own why it exists") {
  std::set<std::string> reasons;
  for (const Scenario& scenario : demo_scenarios()) {
    CAPTURE(scenario.name);
    CHECK(scenario.reason.size() > 20);
    CHECK(reasons.insert(scenario.reason).second);  // one inherited from its base is not its own
  }
}

TEST_CASE("scenarios: the canary is there to fail") {
  const auto scenarios = demo_scenarios();
  const auto canary = std::ranges::find(scenarios, "canary", &Scenario::name);
  REQUIRE(canary != scenarios.end());
  CHECK(canary->claim == Claim::kEscape);
}
