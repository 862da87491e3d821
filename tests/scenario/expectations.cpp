/// Every scenario of the demo gives the verdict that it announces.

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "harness/cli/inproc_node.hpp"
#include "harness/cli/recorder.hpp"
#include "harness/config/load.hpp"
#include "harness/session/lockstep.hpp"

using namespace rimebench;

namespace {

/// All but the whole shift, which takes long and has a test of its own.
std::vector<std::string> demo_files() {
  std::vector<std::string> files;
  for (const auto& entry :
       std::filesystem::directory_iterator(REPOSITORY_DIR "/config/scenarios")) {
    const std::filesystem::path& file = entry.path();
    if (file.extension() == ".yaml" && file.stem() != "whole_shift") files.push_back(file);
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

Verdict verdict_of(const Scenario& scenario) {
  Recorder recorder(scenario);
  InprocNode node;
  LockstepResult result;
  run_lockstep(scenario.plant, node, {}, recorder, result);
  return recorder.finish(result.end, result.exchanges, "");
}

}  // namespace

TEST_CASE("scenarios: each one of the demo gives the verdict that it announces") {
  const std::vector<Scenario> scenarios = demo_scenarios();
  CHECK(scenarios.size() >= 10);
  for (const Scenario& scenario : scenarios) {
    const Verdict verdict = verdict_of(scenario);
    INFO(scenario.name, ": ", verdict.reason);
    CHECK(verdict.outcome == scenario.expect_verdict);
  }
}

TEST_CASE("scenarios: one that expects no pass says why, and the canary expects to fail") {
  bool canary = false;
  for (const Scenario& scenario : demo_scenarios()) {
    CAPTURE(scenario.name);
    if (scenario.expect_verdict != Outcome::kPass) CHECK(!scenario.because.empty());
    if (scenario.name == "canary") canary = scenario.expect_verdict == Outcome::kFail;
  }
  CHECK(canary);
}
