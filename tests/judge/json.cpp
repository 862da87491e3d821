#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "harness/judge/verdict_json.hpp"
#include "tests/judge/judged.hpp"
#include "tests/support/golden.hpp"

using namespace rimebench;

namespace {

/// Two places, a soft container that escaped, one that was removed, one good one removed too.
Scenario small_scenario() {
  Scenario scenario = bare_scenario();
  scenario.plant.seed = 18'446'744'073'709'551'615U;
  scenario.plant.limits.equilibrium_pa_min = 167'000;
  scenario.plant.limits.captured_ppm_min = 900'000;
  scenario.run_limits.permit_reaction_us_max = 1'000;
  scenario.must_reach = {Counter::kRejected};
  scenario.claim = Claim::kEscape;
  scenario.reason = "container 2 is soft";
  return scenario;
}

Rows small_rows() {
  Rows rows{good_row(1), bad_row(2, Cause::kWait), removed(bad_row(5, Cause::kNoDose)),
            removed(good_row(6))};
  rows[1].equilibrium_pa = 150'000;
  for (LedgerRow& row : rows) row.shots = 0;
  return rows;
}

Changes small_changes() {
  return {{Instant{10}, counter_channel(Counter::kRejected), 1},
          {Instant{20}, counter_channel(Counter::kRejected), 2},
          {Instant{30}, counter_channel(Counter::kTooLate), 1}};
}

}  // namespace

TEST_CASE("judge: the JSON of a small verdict, key by key") {
  const Scenario scenario = small_scenario();
  const Verdict verdict = judged(scenario, small_rows(), small_changes());
  CHECK_GOLDEN("small_verdict.json", to_json(scenario, verdict));
}

TEST_CASE(
    "judge: JSON has only finite numbers, even where nothing or the impossible was measured") {
  const Scenario scenario = small_scenario();
  LedgerRow burst = good_row(1);
  burst.equilibrium_pa = burst.hot_prompt_pa = kLiquidFullPa;
  for (const Rows& rows : {Rows{}, Rows{good_row(1)}, Rows{burst, burst}}) {
    const std::string text = to_json(scenario, judged(scenario, rows));
    const auto json = nlohmann::json::parse(text);
    int numbers = 0;
    for (const auto& value : json.flatten()) {
      if (!value.is_number()) continue;
      ++numbers;
      CHECK(std::isfinite(value.get<double>()));
    }
    CHECK(numbers > 20);
  }
  const auto empty = nlohmann::json::parse(to_json(scenario, judged(scenario, {})));
  CHECK(empty["expectations"][0]["measured"].is_null());
}

TEST_CASE("judge: how rows and changes interleave tells nothing") {
  Scenario scenario = small_scenario();
  const Rows rows = small_rows();
  Changes changes = small_changes();
  changes.push_back({Instant{40}, Channel::kRunPermit, 1});
  changes.push_back({Instant{50}, Channel::kValve, 1});
  changes.push_back({Instant{60}, Channel::kRunPermit, 0});
  changes.push_back({Instant{70}, Channel::kValve, 0});
  const RunEnd end{1, 2, 3, Instant{4}, ""};
  Judge changes_first(scenario);
  for (const SignalChange& change : changes) changes_first.on_change(change);
  for (const LedgerRow& row : rows) changes_first.on_row(row);
  Judge rows_first(scenario);
  for (const LedgerRow& row : rows) rows_first.on_row(row);
  for (const SignalChange& change : changes) rows_first.on_change(change);
  Judge in_turn(scenario);
  for (std::size_t i = 0; i < std::max(rows.size(), changes.size()); ++i) {
    if (i < rows.size()) in_turn.on_row(rows[i]);
    if (i < changes.size()) in_turn.on_change(changes[i]);
  }
  const std::string expected = to_json(scenario, changes_first.finish(end));
  CHECK(to_json(scenario, rows_first.finish(end)) == expected);
  CHECK(to_json(scenario, in_turn.finish(end)) == expected);
}
