#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <set>
#include <sstream>
#include <variant>

#include "harness/config/tables.hpp"
#include "tests/config/fixture.hpp"

using namespace rimebench;

namespace {

std::vector<std::string> demo_scenarios() {
  std::vector<std::string> files;
  for (const auto& entry :
       std::filesystem::directory_iterator(REPOSITORY_DIR "/config/scenarios")) {
    if (entry.path().extension() == ".yaml") files.push_back(entry.path().string());
  }
  std::sort(files.begin(), files.end());
  return files;
}

std::optional<Scenario> load(const std::string& file) {
  Diagnostics diagnostics;
  auto scenario = load_scenario(file, {}, diagnostics);
  for (const Diagnostic& diagnostic : diagnostics) MESSAGE(to_text(diagnostic));
  return scenario;
}

template <class Spec, std::size_t kCount>
bool same(const std::array<Row<Spec>, kCount>& rows, const Spec& a, const Spec& b) {
  return std::all_of(rows.begin(), rows.end(), [&](const Row<Spec>& row) {
    return std::visit([&](auto member) { return a.*member == b.*member; }, row.member);
  });
}

bool same_line(const LineSpec& a, const LineSpec& b) {
  return a.transport == b.transport && a.filler.kind == b.filler.kind &&
         same(kRotaryRows, a.filler, b.filler) && same(kInlineRows, a.filler, b.filler) &&
         same(kStationRows, a.stations, b.stations) && same(kSeamerRows, a.seamer, b.seamer) &&
         same(kSensorRows, a.sensor, b.sensor) && same(kValveRows, a.valve, b.valve) &&
         same(kNozzleRows, a.nozzle, b.nozzle) && same(kLossesRows, a.losses, b.losses) &&
         same(kBoilOffRows, a.boil_off, b.boil_off) &&
         same(kHeadspaceRows, a.headspace, b.headspace) && same(kGateRows, a.gate, b.gate) &&
         same(kControlsRows, a.controls, b.controls);
}

template <class Spec, std::size_t kCount>
bool same_list(const std::array<Row<Spec>, kCount>& rows, const std::vector<Spec>& a,
               const std::vector<Spec>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [&](const Spec& x, const Spec& y) { return same(rows, x, y); });
}

bool same_plant(const PlantSpec& a, const PlantSpec& b) {
  return a.seed == b.seed && a.feed == b.feed && same(kContainerRows, a.container, b.container) &&
         same(kProductRows, a.product, b.product) && same_line(a.line, b.line) &&
         same_list(kSpeedRows, a.speed, b.speed) &&
         same_list(kStopRows, a.happens.stops, b.happens.stops) &&
         same(kHappensRows, a.happens, b.happens) &&
         a.happens.heads_missing == b.happens.heads_missing &&
         same(kChatterRows, a.happens.chatter, b.happens.chatter) &&
         same(kContainerLimitRows, a.limits, b.limits) &&
         a.limits.hot_prompt_pa_max == b.limits.hot_prompt_pa_max && a.recipe == b.recipe;
}

bool same_scenario(const Scenario& a, const Scenario& b) {
  return a.name == b.name && a.title == b.title && same_plant(a.plant, b.plant) &&
         same(kRunLimitRows, a.run_limits, b.run_limits) && a.must_reach == b.must_reach &&
         a.faults_must == b.faults_must && a.faults_must_not == b.faults_must_not &&
         a.expect_fault == b.expect_fault && a.reason == b.reason && a.claim == b.claim &&
         same(kSuiteRows, a, b) && a.resolved_text == b.resolved_text;
}

/// The dotted keys of a resolved text, list entries as [].
std::set<std::string> keys_of(const std::string& text) {
  std::set<std::string> keys;
  std::vector<std::string> open;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    const std::size_t indent = line.find_first_not_of(' ');
    if (line[indent] == '-') continue;
    open.resize(indent / 2);
    const std::string key = line.substr(indent, line.find(':') - indent);
    std::string path;
    for (const std::string& part : open) path += part + '.';
    open.push_back(key);
    if (line.back() != ':') keys.insert(path + key);
  }
  return keys;
}

}  // namespace

TEST_CASE("config: every demo scenario read back from its resolved text is the same scenario") {
  const auto files = demo_scenarios();
  CHECK(files.size() >= 13);
  for (const std::string& file : files) {
    CAPTURE(file);
    const auto scenario = load(file);
    REQUIRE(scenario);
    CHECK(scenario->name == std::filesystem::path(file).stem().string());
    Diagnostics diagnostics;
    const auto again = parse_resolved(scenario->resolved_text, diagnostics);
    for (const Diagnostic& diagnostic : diagnostics) MESSAGE(to_text(diagnostic));
    REQUIRE(again);
    CHECK(same_scenario(*scenario, *again));
  }
}

TEST_CASE("config: a scenario with everything in it comes back the same") {
  Fixture fixture;
  fixture.use_queued_line();
  fixture.edit(
      "scenario.yaml", "title: fixture",
      "title: \"a \\\"quoted\\\" \\\\ title\"\nreason: \"why: so\"\nclaim: trial\nlong: true");
  fixture.edit("scenario.yaml", "expect:\n",
               "happens:\n"
               "  stops: [{at_us: 1, for_us: 2, coast_us: 1, ramp_us: 0}]\n"
               "  missing_share_ppm: 5\n"
               "  heads_missing: [1, 3]\n"
               "  chatter: {share_ppm: 7, edges: 2, gap_us: 9}\n"
               "expect:\n"
               "  escapes_max: 1\n"
               "  permit_reaction_us_max: 5\n"
               "  must_reach: [rejected, too_late]\n"
               "  faults_must: [link_lost]\n"
               "  faults_must_not: [open_too_long, supply_lost]\n"
               "  exposed_min: 3\n"
               "  alarm: open_too_long\n");
  const auto scenario = fixture.load();
  REQUIRE(scenario);
  CHECK(scenario->title == "a \"quoted\" \\ title");
  CHECK(scenario->plant.happens.stops[0].lasts == Duration{2});
  CHECK(scenario->plant.happens.chatter.gap == Duration{9});
  CHECK(scenario->must_reach == std::vector<Counter>{Counter::kRejected, Counter::kTooLate});
  CHECK(scenario->faults_must == std::vector<Fault>{Fault::kLinkLost});
  CHECK(scenario->faults_must_not.size() == 2);
  CHECK(scenario->expect_fault == Fault::kOpenTooLong);
  CHECK(scenario->reason == "why: so");
  CHECK(scenario->claim == Claim::kTrial);
  CHECK(scenario->is_long);
  Diagnostics diagnostics;
  const auto again = parse_resolved(scenario->resolved_text, diagnostics);
  REQUIRE(again);
  CHECK(same_scenario(*scenario, *again));
}

TEST_CASE("config: every key of a resolved text is in the list of keys") {
  const std::string described = '\n' + describe_keys();
  for (const std::string& file : demo_scenarios()) {
    const auto scenario = load(file);
    REQUIRE(scenario);
    for (std::string key : keys_of(scenario->resolved_text)) {
      CAPTURE(key);
      if (key.starts_with("approvals.")) key = "approvals.LIMIT" + key.substr(key.rfind('.'));
      const std::string second = "happens.second_recipe.";
      if (key.starts_with(second)) key = "recipe." + key.substr(second.size());
      CHECK(described.find('\n' + key + " | ") != std::string::npos);
    }
  }
}

TEST_CASE("config: a choice may be a number or a word, and is resolved to the word") {
  Fixture fixture;
  fixture.edit("scenario.yaml", "dose_ug: 70000", "dose_ug: 70000\n  wait_source: 1");
  const auto scenario = fixture.load();
  REQUIRE(scenario);
  CHECK(scenario->plant.recipe.get(Parameter::kWaitSource) ==
        static_cast<int>(WaitSource::kBeltSpeed));
  CHECK(scenario->resolved_text.find("  wait_source: belt_speed\n") != std::string::npos);
}

TEST_CASE("config: the hot pressure's limit is the rating over its safety factor") {
  Fixture fixture;
  const auto scenario = fixture.load();
  REQUIRE(scenario);
  CHECK(scenario->plant.limits.hot_prompt_pa_max == 496'000);  // 620 / 1.25
  CHECK(scenario->resolved_text.find("    hot_prompt_kpa_max: 496\n") != std::string::npos);
}

TEST_CASE("config: a resolved scenario refers to no other file") {
  Fixture fixture;
  const auto scenario = fixture.load();
  REQUIRE(scenario);
  Diagnostics diagnostics;
  CHECK_FALSE(parse_resolved("from: a.yaml\n" + scenario->resolved_text, diagnostics));
  REQUIRE(diagnostics.size() == 1);
  CHECK(to_text(diagnostics[0]).substr(0, 40) == "resolved scenario:1:1: from: unknown key");
}
