#include "harness/campaign/suite.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>

#include "harness/campaign/suite_text.hpp"
#include "harness/cli/inproc_node.hpp"
#include "harness/cli/node_option.hpp"
#include "tests/support/golden_runs.hpp"

using namespace rimebench;

namespace {

Scenario demo(const std::string& name) {
  Diagnostics diagnostics;
  const auto scenario =
      load_scenario(REPOSITORY_DIR "/config/scenarios/" + name + ".yaml", {}, diagnostics);
  REQUIRE(scenario);
  return *scenario;
}

std::vector<SuiteRun> run(const std::vector<std::string>& names, const std::string& node,
                          int jobs) {
  std::vector<Scenario> scenarios;
  for (const std::string& name : names) scenarios.push_back(demo(name));
  return run_suite(
      std::move(scenarios),
      [&](const Scenario& scenario) { return open_node(node, scenario.plant.happens); }, jobs);
}

std::vector<std::string> demo_names(Claim claim) {
  std::vector<std::string> names;
  for (const auto& entry :
       std::filesystem::directory_iterator(REPOSITORY_DIR "/config/scenarios")) {
    if (entry.path().extension() != ".yaml") continue;
    const Scenario scenario = demo(entry.path().stem().string());
    if (scenario.claim == claim && !scenario.is_long) names.push_back(scenario.name);
  }
  std::ranges::sort(names);
  return names;
}

Scenario claiming(Claim claim) {
  Scenario scenario;
  scenario.claim = claim;
  return scenario;
}

RunFigures small_figures() {
  RunFigures figures;
  figures.digest = "00000000000000e1";
  figures.faults = "link_lost";
  figures.taken_out = "4, 17-22";
  figures.containers = 600;
  figures.places[2] = {600, 207'400, 178'000, 237'000};
  return figures;
}

}  // namespace

TEST_CASE("suite: several runs at a time come to what they come to one by one") {
  const std::vector<std::string> names{"inline_ramp", "rotary_steady", "stop_restart"};
  const auto alone = run(names, "inproc", 1);
  const auto together = run(names, "inproc", 3);
  for (std::size_t i = 0; i < names.size(); ++i) {
    CHECK(together[i].scenario.name == names[i]);
    CHECK(together[i].figures == alone[i].figures);
    CHECK(alone[i].as_claimed);
  }
}

TEST_CASE("suite: what rejects everything, or doses nothing, handles nothing") {
  const auto names = demo_names(Claim::kHandled);
  CHECK(names.size() >= 20);
  for (const char* const node : {"stand_in:always_reject", "stand_in:never_dose"}) {
    for (const SuiteRun& found : run(names, node, 2)) {
      INFO(node, " ", found.scenario.name);
      CHECK(!found.as_claimed);
    }
  }
}

TEST_CASE("suite: a plain fixed delay handles less than half, but does dose a steady line") {
  const auto runs = run(demo_names(Claim::kHandled), "stand_in:fixed_delay", 2);
  const auto handled = std::ranges::count_if(runs, &SuiteRun::as_claimed);
  CHECK(2 * static_cast<std::size_t>(handled) <= runs.size());
  CHECK(run({"timing_screw"}, "stand_in:fixed_delay", 1)[0].verdict.outcome == Outcome::kPass);
}

TEST_CASE("suite: an escape is one only if bad containers did escape") {
  const Scenario escape = claiming(Claim::kEscape);
  Verdict verdict;
  verdict.outcome = Outcome::kFail;
  CHECK(!as_claimed(escape, verdict));
  verdict.escapes.count = 1;
  CHECK(as_claimed(escape, verdict));
  CHECK(!as_claimed(claiming(Claim::kHandled), verdict));
}

TEST_CASE("suite: a lost link is one only if it was lost where the scenario has it") {
  Scenario lost = claiming(Claim::kLost);
  lost.plant.happens.link_fault = LinkFault{LinkFaultKind::kCut, Instant{9}, {}};
  const Scenario trial = claiming(Claim::kTrial);
  Verdict verdict;
  verdict.outcome = Outcome::kInconclusive;
  verdict.end = Instant{9};
  CHECK(as_claimed(trial, verdict));
  CHECK(!as_claimed(lost, verdict));
  verdict.lost = true;
  CHECK(as_claimed(lost, verdict));
  CHECK(!as_claimed(trial, verdict));
  verdict.end = Instant{0};  // there was no node
  CHECK(!as_claimed(lost, verdict));
}

TEST_CASE("record: what is written is read back the same") {
  const SuiteRecord record{{"a", small_figures()}, {"b", RunFigures{}}};
  Diagnostics diagnostics;
  const auto again = parse_record(to_text(record), "x", diagnostics);
  for (const Diagnostic& diagnostic : diagnostics) MESSAGE(to_text(diagnostic));
  REQUIRE(again);
  CHECK(*again == record);
}

TEST_CASE("record: a figure that is missing or no number is named with its place") {
  std::string text = to_text(SuiteRecord{{"a", small_figures()}});
  text.replace(text.find("containers: 600"), 15, "containers: many");
  Diagnostics diagnostics;
  CHECK(!parse_record(text, "x", diagnostics));
  REQUIRE(diagnostics.size() == 1);
  CHECK(to_text(diagnostics[0]).find("a.containers: missing, or not a whole number") !=
        std::string::npos);
}

TEST_CASE("record: a change is told by containers, pressure and alarms") {
  const RunFigures before = small_figures();
  RunFigures now = before;
  CHECK(changes_between(before, now).empty());
  now.faults = "none";
  now.taken_out = "4";
  now.places[2].mean_pa = 199'000;
  CHECK(changes_between(before, now) ==
        std::vector<std::string>{
            "alarms: none, was link_lost", "containers taken out: 4, was 4, 17-22",
            "place 2: mean settled pressure 199.0 kPa (28.9 psi), was 207.4 kPa (30.1 psi)"});
}

TEST_CASE("record: container numbers are gathered in ranges, the first twelve of them") {
  NumberRanges ranges;
  CHECK(ranges.text() == "none");
  for (const std::int64_t number : {4, 17, 18, 19}) ranges.add(number);
  CHECK(ranges.text() == "4, 17-19");
  for (std::int64_t number = 100; number < 200; number += 2) ranges.add(number);
  CHECK(ranges.text().ends_with("116, 118, ..."));
}

TEST_CASE("suite: what changed, what is new and what is gone are not well") {
  auto runs = run({"rotary_steady", "timing_screw"}, "inproc", 1);
  SuiteRecord record{{"rotary_steady", runs[0].figures}, {"timing_screw", runs[1].figures}};
  SuiteView view{"config/scenarios", true, {}, 0, 100, false};
  view.gone = compare_with(record, runs);
  CHECK(all_well(runs, view));
  record["timing_screw"].places[1].mean_pa += 100;
  record.erase("rotary_steady");
  record["old"] = {};
  for (SuiteRun& each : runs) each.recorded = false, each.changes.clear();
  view.gone = compare_with(record, runs);
  CHECK(!all_well(runs, view));
  const std::string text = suite_terminal(runs, view);
  CHECK(text.find("2 scenarios: 2 as claimed, 0 as recorded, 1 changed, 1 new, 1 gone") !=
        std::string::npos);
  CHECK(text.find("repeat: rimebench run config/scenarios/timing_screw.yaml") != std::string::npos);
  CHECK(text.find('\033') == std::string::npos);
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 100);
}
