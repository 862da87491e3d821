/// The record of the demo's suite is what every build must agree on: GCC and Clang, debug and
/// release, one core or many.

#include <doctest/doctest.h>

#include "harness/campaign/suite.hpp"
#include "harness/cli/node_option.hpp"
#include "tests/support/golden_runs.hpp"

using namespace rimebench;

namespace {

SuiteRecord demo_record() {
  std::ifstream file(REPOSITORY_DIR "/config/scenarios/suite.record");
  std::ostringstream text;
  text << file.rdbuf();
  Diagnostics diagnostics;
  const auto record = parse_record(text.str(), "suite.record", diagnostics);
  REQUIRE(record);
  return *record;
}

}  // namespace

TEST_CASE("determinism: every build gives what the record of the suite says") {
  const SuiteRecord record = demo_record();
  CHECK(record.size() >= 45);
  for (const auto& entry : record) {
    const std::string& name = entry.first;
    Diagnostics diagnostics;
    const auto scenario =
        load_scenario(REPOSITORY_DIR "/config/scenarios/" + name + ".yaml", {}, diagnostics);
    REQUIRE_MESSAGE(scenario, name);
    if (scenario->is_long) continue;  // tests/shift
    const auto open = [](const Scenario& run) { return open_node("inproc", run.plant.happens); };
    const auto runs = run_suite({*scenario}, open, 1);
    INFO(name, "; now: rimebench suite config/scenarios --accept, and read the difference");
    CHECK(changes_between(entry.second, runs[0].figures) == std::vector<std::string>{});
  }
}
