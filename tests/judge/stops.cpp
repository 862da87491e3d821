/// What each stop of the line cost, against what it may.

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "harness/judge/verdict_json.hpp"
#include "harness/judge/verdict_text.hpp"
#include "tests/judge/judged.hpp"
#include "tests/support/golden_runs.hpp"

using namespace rimebench;

namespace {

/// The rotary line with two stops: from 60 s to 80 s and from 200 s to 210 s, 3 s of ramp each.
Scenario stopping_scenario() {
  Scenario scenario = bare_scenario();
  scenario.plant = test::plant_of("rotary_steady");
  scenario.plant.happens.stops = {{Instant{60'000'000}, 20_s, 1_s, 3_s},
                                  {Instant{200'000'000}, 10_s, 1_s, 3_s},
                                  {.lasts = 5_s, .per_hour = 3.0}};
  return scenario;
}

/// Seen at `sensor_s` and sealed at `seam_s`.
LedgerRow between(std::int64_t container, std::int64_t sensor_s, std::int64_t seam_s) {
  LedgerRow row = good_row(container);
  row.sensor_us = sensor_s * 1'000'000;
  row.seam_us = seam_s * 1'000'000;
  return row;
}

}  // namespace

TEST_CASE("judge: a stop costs the lost containers that it met between sensor and seam") {
  Rows rows{between(1, 50, 59),  between(2, 59, 61),   between(3, 61, 90), between(4, 82, 84),
            between(5, 84, 100), between(6, 199, 201), between(7, 205, 0), between(8, 240, 250)};
  for (LedgerRow& row : rows) row.flagged = 1;
  rows.push_back(between(9, 60, 70));  // neither flagged nor bad
  const Verdict verdict = judged(stopping_scenario(), rows);
  REQUIRE(verdict.stops.size() == 2);  // those drawn by chance are not scheduled
  CHECK(verdict.stops[0].at.us == 60'000'000);
  CHECK(verdict.stops[0].lost == 3);  // 2, 3, 4
  CHECK(verdict.stops[1].lost == 2);  // 6, 7
}

TEST_CASE("judge: one that nobody flagged but that is bad was lost to the stop as well") {
  LedgerRow row = between(1, 59, 81);
  CHECK(judged(stopping_scenario(), {row}).stops[0].lost == 0);
  row.bad = 1;
  CHECK(judged(stopping_scenario(), {row}).stops[0].lost == 1);
}

TEST_CASE("judge: stops stand in JSON and on the terminal with what they may cost") {
  const Scenario scenario = stopping_scenario();
  Rows rows;
  for (std::int64_t n = 1; n <= 40; ++n) {
    rows.push_back(between(n, 59, 81));
    rows.back().flagged = n <= 38 ? 1 : 0;
  }
  const Verdict verdict = judged(scenario, rows);
  const auto stops = nlohmann::json::parse(to_json(scenario, verdict))["stops"];
  REQUIRE(stops.size() == 2);
  CHECK(stops[0]["at_us"] == 60'000'000);
  CHECK(stops[0]["for_us"] == 20'000'000);
  CHECK(stops[0]["costs_least"] == verdict.stops[0].least);
  CHECK(stops[0]["costs_most"] == verdict.stops[0].most);
  CHECK(stops[0]["cost"] == 38);
  CHECK(verdict.stops[0].least > 0);
  CHECK(verdict.stops[0].most < 38);
  const std::string text = to_terminal(scenario, verdict, "");
  CHECK(text.find("  1 min 0 s      20 s  ") != std::string::npos);
  CHECK(text.find("      38  more\n") != std::string::npos);
  CHECK(text.find("       0  fewer\n") != std::string::npos);
}
