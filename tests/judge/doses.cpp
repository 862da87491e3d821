/// The dose that landed against the recipe's, and the pressure when hot against what is allowed.

#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "harness/judge/verdict_json.hpp"
#include "harness/judge/verdict_text.hpp"
#include "tests/judge/judged.hpp"

using namespace rimebench;

namespace {

/// A tenth of what leaves the nozzle is lost. Sealed at once a container gets 80 mg at the nozzle;
/// after a second half as much again, after two twice as much.
Scenario dosing_scenario() {
  Scenario scenario = bare_scenario();
  scenario.plant.line.losses.flight_percent = 10.0;
  RecipeValues& recipe = scenario.plant.recipe;
  recipe.set(Parameter::kDoseUg, 80'000);
  const std::int32_t waits[] = {0, 1'000'000, 2'000'000};
  const std::int32_t gains[] = {1'000'000, 1'500'000, 2'000'000};
  for (int i = 0; i < 3; ++i) {
    recipe.set_slot(slot(Parameter::kWaitCurveUs, i), waits[i]);
    recipe.set_slot(slot(Parameter::kWaitCurvePpm, i), gains[i]);
  }
  return scenario;
}

/// That landed at `place` with `landed_ug` and waited for `wait_us`.
LedgerRow landed(std::int64_t container, std::int64_t landed_ug, std::int64_t wait_us) {
  LedgerRow row = good_row(container);
  row.landed_ug = landed_ug;
  row.wait_us = wait_us;
  return row;
}

}  // namespace

TEST_CASE("judge: a dose is held against what the recipe wants for the wait it really had") {
  // 80 mg by 1, by 1.25, by 1.5, by 2 and by no more than 2, each less a tenth.
  const Rows rows{landed(1, 72'000, 0), landed(2, 90'000, 500'000), landed(3, 108'000, 1'000'000),
                  landed(4, 144'000, 2'000'000), landed(5, 144'000, 9'000'000)};
  const Verdict verdict = judged(dosing_scenario(), rows);
  for (const auto& place : verdict.places) {
    CAPTURE(place.first);
    CHECK(place.second.dose_error_worst_percent == doctest::Approx(0.0));
  }
  CHECK(verdict.places.at(1).dosed == 2);
}

TEST_CASE("judge: without a wait curve every container needs the same dose") {
  Scenario scenario = bare_scenario();
  scenario.plant.recipe.set(Parameter::kDoseUg, 80'000);
  const Verdict verdict = judged(scenario, {landed(1, 88'000, 100'000), landed(2, 60'000, 9'000)});
  CHECK(verdict.places.at(1).dose_error_mean_percent == doctest::Approx(10.0));
  CHECK(verdict.places.at(2).dose_error_mean_percent == doctest::Approx(-25.0));
}

TEST_CASE("judge: a container's dose too far off breaks its limit and is named, either way off") {
  Scenario scenario = dosing_scenario();
  scenario.run_limits.dose_error_percent_max = 10.0;
  Rows rows{landed(1, 108'000, 1'000'000), landed(2, 108'000, 1'000'000)};
  CHECK(judged(scenario, rows).outcome == Outcome::kPass);
  for (const std::int64_t ug : {108'000 * 89 / 100, 108'000 * 111 / 100}) {
    rows[1].landed_ug = ug;
    const Verdict verdict = judged(scenario, rows);
    CHECK(verdict.outcome == Outcome::kFail);
    const Finding finding = finding_of(verdict, "dose_error_percent_max");
    CHECK(finding.measured == doctest::Approx(11.0));
    CHECK(finding.looked_at == 2);
    CHECK(finding.breaches == 1);
    CHECK(finding.first.value().container == 2);
  }
  rows[1] = removed(rows[1]);  // who is taken out may be as far off as he likes
  CHECK(judged(scenario, rows).outcome == Outcome::kPass);
  for (LedgerRow& row : rows) row.shots = 0;
  CHECK(judged(scenario, rows).outcome == Outcome::kInconclusive);
}

TEST_CASE("judge: one place too soft in the mean breaks the limit that single containers keep") {
  Scenario scenario = dosing_scenario();
  scenario.run_limits.dose_error_percent_max = 10.0;
  scenario.run_limits.dose_error_mean_percent_max = 3.0;
  Rows rows;
  for (std::int64_t n = 1; n <= 8; ++n) {
    const std::int64_t percent = n % 4 == 2 ? 95 : n < 5 ? 92 : 108;  // place 2: 95 and 95
    rows.push_back(landed(n, 1'080 * percent, 1'000'000));
  }
  const Verdict verdict = judged(scenario, rows);
  CHECK(finding_of(verdict, "dose_error_percent_max").outcome == Outcome::kPass);
  const Finding finding = finding_of(verdict, "dose_error_mean_percent_max");
  CHECK(finding.outcome == Outcome::kFail);
  CHECK(finding.measured == doctest::Approx(5.0));
  CHECK(finding.looked_at == 4);
  CHECK(finding.breaches == 1);
  CHECK(verdict.places.at(1).dose_error_mean_percent == doctest::Approx(0.0));
  CHECK(std::abs(verdict.places.at(1).dose_error_worst_percent) == doctest::Approx(8.0));
}

TEST_CASE("judge: doses stand in JSON and on the terminal, by place") {
  const Scenario scenario = dosing_scenario();
  const Verdict verdict = judged(scenario, {landed(1, 118'800, 1'000'000)});
  const auto place = nlohmann::json::parse(to_json(scenario, verdict))["places"][0];
  CHECK(place["dosed"] == 1);
  CHECK(place["dose_error_percent_mean"].get<double>() == doctest::Approx(10.0));
  CHECK(place["dose_error_percent_worst"].get<double>() == doctest::Approx(10.0));
  const std::string text = to_terminal(scenario, verdict, "");
  CHECK(text.find("      1           1     +10.0 %      +10.0 %\n") != std::string::npos);
}

TEST_CASE("judge: the hottest pack of all that were sealed is told against what is allowed") {
  Scenario scenario = bare_scenario();
  scenario.plant.limits.hot_prompt_pa_max = 500'000;
  LedgerRow hot = removed(good_row(3));
  hot.hot_prompt_pa = 550'000;
  LedgerRow open = good_row(4);  // never sealed
  open.seam_us = 0;
  open.hot_prompt_pa = 900'000;
  const Verdict verdict = judged(scenario, {good_row(1), good_row(2), hot, open});
  CHECK(verdict.hot_most_pa == 550'000);
  CHECK(verdict.hot_over.count == 1);
  CHECK(verdict.hot_over.of == 3);
  const auto json = nlohmann::json::parse(to_json(scenario, verdict));
  CHECK(json["hot_prompt_kpa_most"] == 550.0);
  CHECK(json["hot_prompt_over"]["count"] == 1);
  const std::string text = to_terminal(scenario, verdict, "");
  CHECK(text.find("550.0 kPa (79.8 psi) at most, 110 % of what is allowed at 60 C") !=
        std::string::npos);
  CHECK(text.find("  beyond it    1 of 3: 33.333 %") != std::string::npos);
}
