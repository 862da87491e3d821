/// What a planted defect changes: the whole suite is run with each, and held against its record. A
/// defect lights up scenarios that use what it spoils, and no others.

#include <doctest/doctest.h>
#include <sys/wait.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <set>
#include <string>

#include "harness/config/load.hpp"

using namespace rimebench;

namespace {

const std::string kFolder = REPOSITORY_DIR "/config/scenarios";

using Names = std::set<std::string>;

/// What a suite says of its scenarios.
struct Shown {
  Names changed;     ///< against the record
  Names unexpected;  ///< another verdict than their claim's
};

/// `defect` 0: the executable without any.
Shown suite_with(int defect) {
  const std::string variant = defect == 0 ? "" : "_defect_" + std::to_string(defect);
  const std::string file = "suite_with_defect_" + std::to_string(defect) + ".json";
  const std::string command =
      RIMEBENCH_COMMAND + variant + " suite " + kFolder + " --json " + file + " >/dev/null";
  const int status = std::system(command.c_str());  // NOLINT(concurrency-mt-unsafe): one thread
  REQUIRE(WIFEXITED(status));
  REQUIRE(WEXITSTATUS(status) == (defect == 0 ? 0 : 1));
  std::ifstream stream(file);
  const auto suite = nlohmann::json::parse(stream);
  std::filesystem::remove(file);
  Shown shown;
  for (const auto& scenario : suite["scenarios"]) {
    const std::string name = scenario["scenario"];
    if (scenario["record"] != "same") shown.changed.insert(name);
    if (!scenario["as_claimed"].get<bool>()) shown.unexpected.insert(name);
  }
  return shown;
}

/// The scenarios of the suite for which this holds.
Names scenarios_where(const std::function<bool(const Scenario&)>& holds) {
  Names names;
  for (const auto& entry : std::filesystem::directory_iterator(kFolder)) {
    if (entry.path().extension() != ".yaml") continue;
    Diagnostics mistakes;
    const auto scenario = load_scenario(entry.path(), {}, mistakes);
    REQUIRE(scenario.has_value());
    if (!scenario->is_long && holds(*scenario)) names.insert(scenario->name);
  }
  return names;
}

bool within(const Names& inner, const Names& outer) {
  return std::includes(outer.begin(), outer.end(), inner.begin(), inner.end());
}

bool has_places(const Scenario& scenario) {
  return scenario.plant.recipe.get(Parameter::kPlaceSource) != 0;
}
bool is_queued(const Scenario& scenario) {
  return scenario.plant.line.transport == Transport::kQueued;
}
/// The dose comes from the measured cycle, and that is not the planned one.
bool needs_measured_cycle(const Scenario& scenario) {
  const RecipeValues& recipe = scenario.plant.recipe;
  return recipe.get(Parameter::kWaitSource) == static_cast<int>(WaitSource::kQueue) &&
         scenario.plant.line.seamer.cycle_us != recipe.get(Parameter::kSeamerCycleUs);
}

}  // namespace

TEST_CASE("defects: without one the suite is as recorded") {
  const Shown shown = suite_with(0);
  CHECK(shown.changed.empty());
  CHECK(shown.unexpected.empty());
}

TEST_CASE("defects: 1, the sensor's latency added instead of taken off, moves the landing") {
  CHECK(suite_with(1).unexpected.contains("landing_accuracy"));
}

TEST_CASE("defects: 2, the flight forgotten, lands every shot behind the centre") {
  CHECK(within({"landing_accuracy", "speed_ramp"}, suite_with(2).unexpected));
}

TEST_CASE(
    "defects: 3, places counted from one, shows where the recipe has places, and only there") {
  const Shown shown = suite_with(3);
  CHECK(shown.unexpected.contains("inline_ramp"));
  CHECK(within(shown.changed, scenarios_where(has_places)));
}

TEST_CASE("defects: 4, no debounce, believes every drop on the sensor") {
  const Shown shown = suite_with(4);
  CHECK(shown.unexpected.contains("missing_containers"));
}

TEST_CASE("defects: 5, one container too late at the gate, lets the bad one pass") {
  CHECK(suite_with(5).unexpected.contains("stop_restart"));
}

TEST_CASE("defects: 6, no guard, never notices a valve that does not open in time") {
  CHECK(suite_with(6).unexpected.contains("sticking_valve"));
}

TEST_CASE("defects: 7, a model whose valve acts at once, doses more than the recipe meant") {
  CHECK(suite_with(7).unexpected.contains("rotary_steady"));
}

TEST_CASE("defects: 8, a model whose seamer is never busy, shows on queued lines, and only there") {
  const Shown shown = suite_with(8);
  CHECK(shown.unexpected.contains("inline_ramp"));
  CHECK(within(shown.changed, scenarios_where(is_queued)));
}

TEST_CASE("defects: 9, one constant changed, shows in exactly the scenarios that it affects") {
  // The seamer's cycle is believed after five intervals, not three: that changes what doses from a
  // measured cycle that is not the planned one, all of it, and nothing else.
  const Names affected = scenarios_where(needs_measured_cycle);
  CHECK(!affected.empty());
  CHECK(suite_with(9).changed == affected);
}
