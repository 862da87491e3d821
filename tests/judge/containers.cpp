/// What a container's own limits come to.

#include <doctest/doctest.h>

#include "harness/judge/finding_text.hpp"
#include "tests/judge/judged.hpp"

using namespace rimebench;

namespace {

Scenario limited() {
  Scenario scenario = bare_scenario();
  ContainerLimits& limits = scenario.plant.limits;
  limits.equilibrium_pa_min = 167'000;
  limits.equilibrium_pa_max = 247'000;
  limits.prompt_pa_max = 300'000;
  limits.hot_equilibrium_pa_max = 350'000;
  limits.hot_prompt_pa_max = 476'900;
  limits.captured_ppm_min = 900'000;
  limits.landing_offset_um_max = 10'000;
  limits.oxygen_ppm_max = 10'000;
  limits.tpo_ppb_max = 900;
  limits.wait_us_min = 500'000;
  limits.wait_us_max = 3'000'000;
  return scenario;
}

struct Broken {
  const char* name;
  std::int64_t LedgerRow::*column;
  std::int64_t value;
  double measured;
  double allowed;
};

}  // namespace

TEST_CASE("judge: containers that keep every limit pass") {
  const Verdict verdict = judged(limited(), {good_row(1), good_row(2), good_row(3)});
  CHECK(verdict.outcome == Outcome::kPass);
  CHECK(verdict.reason.empty());
  for (const Finding& finding : verdict.findings) CHECK(finding.outcome == Outcome::kPass);
}

TEST_CASE("judge: each limit names the first container that broke it, where, when and by what") {
  for (const Broken& broken : {
           Broken{"equilibrium_kpa_min", &LedgerRow::equilibrium_pa, 166'999, 166.999, 167.0},
           Broken{"equilibrium_kpa_max", &LedgerRow::equilibrium_pa, 247'001, 247.001, 247.0},
           Broken{"prompt_kpa_max", &LedgerRow::prompt_pa, 300'001, 300.001, 300.0},
           Broken{"hot_equilibrium_kpa_max", &LedgerRow::hot_equilibrium_pa, 360'000, 360.0, 350.0},
           Broken{"tpo_ppb_max", &LedgerRow::tpo_ppb, 901, 901.0, 900.0},
           Broken{"wait_us_min", &LedgerRow::wait_us, 499'999, 499'999.0, 5e5},
           Broken{"wait_us_max", &LedgerRow::wait_us, 3'000'001, 3'000'001.0, 3e6},
           Broken{"hot_prompt_kpa_max", &LedgerRow::hot_prompt_pa, 500'000, 500.0, 476.9},
           Broken{"captured_percent_min", &LedgerRow::captured_ppm, 890'000, 89.0, 90.0},
           Broken{"landing_offset_um_max", &LedgerRow::landing_offset_um, -10'001, 10'001.0, 1e4},
           Broken{"oxygen_percent_max", &LedgerRow::oxygen_ppm, 20'000, 2.0, 1.0},
       }) {
    CAPTURE(broken.name);
    Rows rows{good_row(1), good_row(2), good_row(3), good_row(4)};
    rows[2].*broken.column = broken.value;
    const Verdict verdict = judged(limited(), rows);
    CHECK(verdict.outcome == Outcome::kFail);
    const Finding finding = finding_of(verdict, broken.name);
    CHECK(finding.outcome == Outcome::kFail);
    CHECK(finding.measured == doctest::Approx(broken.measured));
    CHECK(finding.allowed == doctest::Approx(broken.allowed));
    CHECK(finding.looked_at == 4);
    CHECK(finding.breaches == 1);
    REQUIRE(finding.first.has_value());
    CHECK(finding.first->container == 3);
    CHECK(finding.first->place == 3);
    CHECK(finding.first->at.us == 13'000'000);
    CHECK(finding.first->measured.value() == doctest::Approx(broken.measured));
    CHECK(verdict.reason == reason_text(finding));
  }
}

TEST_CASE("judge: a value that just meets its limit keeps it") {
  Rows rows{good_row(1), good_row(2)};
  rows[0].equilibrium_pa = 167'000;
  rows[1].equilibrium_pa = 247'000;
  rows[0].hot_prompt_pa = 476'900;
  rows[0].captured_ppm = 900'000;
  rows[0].landing_offset_um = -10'000;
  rows[1].landing_offset_um = 10'000;
  rows[0].oxygen_ppm = 10'000;
  CHECK(judged(limited(), rows).outcome == Outcome::kPass);
}

TEST_CASE("judge: the worst is told apart from the first") {
  Rows rows{good_row(1), good_row(2), good_row(3)};
  rows[1].equilibrium_pa = 160'000;
  rows[2].equilibrium_pa = 120'000;
  const Finding finding = finding_of(judged(limited(), rows), "equilibrium_kpa_min");
  CHECK(finding.measured == doctest::Approx(120.0));
  CHECK(finding.breaches == 2);
  CHECK(finding.first->container == 2);
  CHECK(finding.first->measured.value() == doctest::Approx(160.0));
}

TEST_CASE("judge: a container in the reject bin is bound by the hot limit and by no other") {
  LedgerRow row = removed(bad_row(2, Cause::kDose));
  row.equilibrium_pa = 100'000;
  row.captured_ppm = 0;
  row.landing_offset_um = 50'000;
  row.oxygen_ppm = 200'000;
  CHECK(judged(limited(), {good_row(1), row}).outcome == Outcome::kPass);
  row.hot_prompt_pa = 900'000;
  const Verdict verdict = judged(limited(), {good_row(1), row});
  CHECK(verdict.outcome == Outcome::kFail);
  CHECK(finding_of(verdict, "hot_prompt_kpa_max").first->container == 2);
}

TEST_CASE(
    "judge: a container closed but left on the line is bound by the hot limit, from its seam") {
  LedgerRow row = good_row(5);
  row.gate_us = 0;
  row.hot_prompt_pa = 900'000;
  const Verdict verdict = judged(limited(), {good_row(1), row});
  CHECK(verdict.unfinished == 1);
  CHECK(finding_of(verdict, "hot_prompt_kpa_max").first->at.us == row.seam_us);
  row.seam_us = 0;  // still open: it cannot burst
  CHECK(judged(limited(), {good_row(1), row}).outcome == Outcome::kPass);
}

TEST_CASE("judge: a container without a shot has no landing to judge, but a pressure") {
  LedgerRow row = good_row(2);
  row.shots = row.captured_ppm = row.landing_us = 0;
  row.equilibrium_pa = 0;
  const Verdict verdict = judged(limited(), {good_row(1), row});
  CHECK(finding_of(verdict, "captured_percent_min").looked_at == 1);
  CHECK(finding_of(verdict, "captured_percent_min").outcome == Outcome::kPass);
  CHECK(finding_of(verdict, "equilibrium_kpa_min").outcome == Outcome::kFail);
}

TEST_CASE("judge: a limit that no container met shows nothing: inconclusive") {
  LedgerRow row = good_row(1);
  row.shots = 0;
  Scenario scenario = bare_scenario();
  scenario.plant.limits.captured_ppm_min = 900'000;
  const Verdict verdict = judged(scenario, {row});
  CHECK(verdict.outcome == Outcome::kInconclusive);
  CHECK(verdict.reason == "part of the shot caught: nothing was measured, so nothing is shown");
}

TEST_CASE("judge: a failure counts for more than what could not be shown") {
  LedgerRow row = good_row(1);
  row.shots = 0;
  row.oxygen_ppm = 90'000;
  const Verdict verdict = judged(limited(), {row});
  CHECK(verdict.outcome == Outcome::kFail);
  CHECK(verdict.reason.starts_with("oxygen in the headspace 9.00 %, at most 1.00 % allowed; "));
}

TEST_CASE("judge: a drink that foams never passes, however good its figures: trial required") {
  Scenario scenario = limited();
  scenario.plant.product.carbonation_volumes = kFoamingVolumes;
  const Verdict verdict = judged(scenario, {good_row(1)});
  CHECK(verdict.outcome == Outcome::kInconclusive);
  CHECK(verdict.reason.starts_with("trial required"));
  LedgerRow row = good_row(1);
  row.equilibrium_pa = 400'000;
  CHECK(judged(scenario, {row}).outcome == Outcome::kFail);
  scenario.plant.product.carbonation_volumes = kFoamingVolumes - 0.1;
  CHECK(judged(scenario, {good_row(1)}).outcome == Outcome::kPass);
}

TEST_CASE("judge: mean, deviation and range of each place are those of the good side") {
  Rows rows;
  for (std::int64_t n = 1; n <= 8; ++n) rows.push_back(good_row(n));
  rows[0].equilibrium_pa = 200'000;  // place 1: 200 and 210
  rows[4].equilibrium_pa = 210'000;
  rows.push_back(removed(good_row(9)));  // place 1 too, but removed
  const Verdict verdict = judged(bare_scenario(), rows);
  REQUIRE(verdict.places.size() == 4);
  const PlaceFigures& place = verdict.places.at(1);
  CHECK(place.containers == 2);
  CHECK(place.mean_kpa == doctest::Approx(205.0));
  CHECK(place.sd_kpa == doctest::Approx(7.0710678));  // 10 / sqrt 2
  CHECK(place.least_kpa == 200.0);
  CHECK(place.most_kpa == 210.0);
  CHECK(verdict.places.at(2).sd_kpa == 0.0);
}
