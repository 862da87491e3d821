#include "harness/judge/verdict_text.hpp"

#include <doctest/doctest.h>

#include <sstream>

#include "harness/judge/finding_text.hpp"
#include "tests/judge/judged.hpp"

using namespace rimebench;

namespace {

std::string shown(const Scenario& scenario, const Rows& rows, const Changes& changes = {}) {
  return to_terminal(scenario, judged(scenario, rows, changes), "rimebench run x.yaml --seed 1");
}

bool says(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("judge: a pass says so, with its proof and the command that repeats it") {
  const std::string text = shown(bare_scenario(), {good_row(1)});
  CHECK(says(text, "\nPASS  every expectation is met\n"));
  CHECK(says(text, "\nrepeat: rimebench run x.yaml --seed 1\n"));
  CHECK(says(text, "\nproof:  digest 0000000000001234 of 0 signal changes\n"));
  CHECK(!says(text, "expects"));
}

TEST_CASE("judge: a planted failure says why it was expected, a surprise that it was not") {
  Scenario scenario = bare_scenario();
  scenario.claim = Claim::kEscape;
  scenario.reason = "the dose was doubled";
  CHECK(says(shown(scenario, {bad_row(1, Cause::kDose)}),
             "\n      as the scenario expects: the dose was doubled\n"));
  CHECK(says(shown(scenario, {good_row(1)}),
             "\n      but the scenario expects the verdict fail: the dose was doubled\n"));
  CHECK(says(shown(bare_scenario(), {bad_row(1, Cause::kDose)}),
             "\n      but the scenario expects the verdict pass\n"));
}

TEST_CASE("judge: pressures are in kPa with psi beside them, and a full container has none") {
  Finding finding{.name = "x", .unit = "kPa", .decimals = 1};
  CHECK(figure_text(finding, 206.84) == "206.8 kPa (30.0 psi)");  // 30 psi is 206.84 kPa
  CHECK(figure_text(finding, 1e6) == "liquid-full");
  finding.unit = "fault";
  CHECK(figure_text(finding, 0.0) == "none");
  CHECK(figure_text(finding, 2.0) == "link_lost");
  CHECK(figure_text(finding, -1.0) == "unknown");
}

TEST_CASE("judge: places out of their range are marked soft or hard") {
  Scenario scenario = bare_scenario();
  scenario.plant.limits.equilibrium_pa_min = 167'000;
  scenario.plant.limits.equilibrium_pa_max = 247'000;
  Rows rows{good_row(1), good_row(2), good_row(3)};
  rows[1].equilibrium_pa = 150'000;
  rows[2].equilibrium_pa = 300'000;
  std::istringstream lines(shown(scenario, rows));
  std::vector<std::string> table;
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with("      ") && line.find("kPa") == std::string::npos) table.push_back(line);
  }
  REQUIRE(table.size() >= 4);
  table.erase(table.begin());  // the scenario expects ...
  CHECK(table[0].ends_with("207.0"));
  CHECK(table[1].ends_with("too soft"));
  CHECK(table[2].ends_with("too hard"));
}

TEST_CASE("judge: no line is longer than 100 columns, whatever the scenario says") {
  Scenario scenario = bare_scenario();
  scenario.plant.limits.equilibrium_pa_min = 167'000;
  scenario.plant.limits.hot_prompt_pa_max = 300'000;
  scenario.must_reach = {Counter::kWaitOutOfRange};
  scenario.claim = Claim::kEscape;
  for (int i = 0; i < 20; ++i) scenario.reason += "it says a great deal ";
  LedgerRow row = bad_row(123'456, Cause::kLanding);
  row.equilibrium_pa = 100'000;
  Changes changes;
  for (std::size_t i = 0; i < static_cast<std::size_t>(Counter::kCount); ++i) {
    changes.push_back({Instant{1}, counter_channel(static_cast<Counter>(i)), 1'000'000});
  }
  std::istringstream lines(shown(scenario, {row}, changes));
  for (std::string line; std::getline(lines, line);) {
    CAPTURE(line);
    CHECK(line.size() <= 100);
  }
}
