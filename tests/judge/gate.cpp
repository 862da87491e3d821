/// Escapes and false rejects: the two figures that matter most.

#include <doctest/doctest.h>

#include "plant_model/spec/befell.hpp"
#include "tests/judge/judged.hpp"

using namespace rimebench;

TEST_CASE("judge: a bad container that nobody flagged is an escape, and names itself") {
  const Verdict verdict = judged(wired_scenario(), {good_row(1), bad_row(2, Cause::kLanding)});
  CHECK(verdict.outcome == Outcome::kFail);
  CHECK(verdict.escapes.count == 1);
  CHECK(verdict.escapes.of == 2);
  CHECK(verdict.escapes.percent == 50.0);
  CHECK(verdict.escapes_sensed.count == 1);
  CHECK(verdict.escapes_missed_by_gate == 0);
  CHECK(verdict.escapes_unsensed.count == 0);
  CHECK(verdict.reason ==
        "escapes 1 containers, at most 0 containers allowed; first at 12.000 s: container 2, place "
        "2, cause landing");
}

TEST_CASE("judge: a bad container that was flagged but went past the gate is the gate's escape") {
  LedgerRow row = bad_row(2, Cause::kFill);
  row.flagged = 1;
  const Verdict verdict = judged(bare_scenario(), {good_row(1), row});
  CHECK(verdict.escapes.count == 1);
  CHECK(verdict.escapes_sensed.count == 0);
  CHECK(verdict.escapes_missed_by_gate == 1);
  CHECK(verdict.escapes_unsensed.count == 0);  // someone did see it
}

TEST_CASE("judge: what is wrong with drink, shot or gas no sensor can tell") {
  const Verdict verdict =
      judged(wired_scenario(),
             {bad_row(1, Cause::kFill), bad_row(2, Cause::kOxygen), bad_row(3, Cause::kDose),
              bad_row(4, Cause::kWait), bad_row(5, Cause::kNoDose), bad_row(6, Cause::kLanding)});
  CHECK(verdict.escapes_sensed.count == 3);
  CHECK(verdict.escapes_sensed.of == 6);
  CHECK(verdict.escapes_unsensed.count == 3);
  CHECK(verdict.escapes_unsensed.high_percent > 50.0);
  CHECK(verdict.bad_by_cause == CauseCounts{0, 1, 1, 1, 1, 1, 1});
}

TEST_CASE("judge: without a line pulse nobody can tell how long a container waited") {
  Scenario scenario = wired_scenario();
  const Rows rows{bad_row(1, Cause::kWait), bad_row(2, Cause::kLanding)};
  CHECK(judged(scenario, rows).escapes_sensed.count == 2);
  scenario.plant.line.controls.line_pulse_pitch_um = 0;
  CHECK(judged(scenario, rows).escapes_sensed.count == 0);
  scenario.plant.line.transport = Transport::kQueued;
  CHECK(judged(scenario, rows).escapes_sensed.count == 0);
  scenario.plant.line.stations.discharge_um = 900'000;
  CHECK(judged(scenario, rows).escapes_sensed.count == 1);
}

TEST_CASE("judge: a scenario that claims to be handled has no escape that a sensor could tell") {
  Scenario scenario = wired_scenario();
  scenario.claim = Claim::kHandled;
  scenario.run_limits.escapes_max = 1;
  CHECK(judged(scenario, {good_row(1), bad_row(2, Cause::kFill)}).outcome == Outcome::kPass);
  const Verdict verdict = judged(scenario, {good_row(1), bad_row(2, Cause::kWait)});
  CHECK(verdict.outcome == Outcome::kFail);
  CHECK(verdict.reason ==
        "escapes that a sensor could have told 1 containers, at most 0 containers allowed; first "
        "at 12.000 s: container 2, place 2, cause wait");
}

TEST_CASE("judge: a bad container that the gate took out is no escape, but is counted as bad") {
  const Verdict verdict =
      judged(bare_scenario(), {good_row(1), removed(bad_row(2, Cause::kNoDose))});
  CHECK(verdict.outcome == Outcome::kPass);
  CHECK(verdict.escapes.count == 0);
  CHECK(verdict.escapes.of == 1);
  CHECK(verdict.removed == 1);
  CHECK(verdict.false_rejects.count == 0);
  CHECK(verdict.bad_by_cause[static_cast<std::size_t>(Cause::kNoDose)] == 1);
}

TEST_CASE("judge: the escapes a scenario allows are allowed, one more is not") {
  Scenario scenario = bare_scenario();
  scenario.run_limits.escapes_max = 1;
  const LedgerRow bad = bad_row(2, Cause::kDose);
  CHECK(judged(scenario, {good_row(1), bad}).outcome == Outcome::kPass);
  CHECK(judged(scenario, {bad, bad}).outcome == Outcome::kFail);
}

TEST_CASE("judge: an escape that is allowed may break its limit, a burst anywhere may not") {
  Scenario scenario = bare_scenario();
  scenario.run_limits.escapes_max = 1;
  scenario.plant.limits.equilibrium_pa_min = 167'000;
  scenario.plant.limits.hot_prompt_pa_max = 476'900;
  LedgerRow soft = bad_row(2, Cause::kDose);
  soft.equilibrium_pa = 150'000;
  CHECK(judged(scenario, {good_row(1), soft}).outcome == Outcome::kPass);
  CHECK(judged(scenario, {soft, soft}).outcome == Outcome::kFail);
  LedgerRow burst = removed(bad_row(3, Cause::kDose));
  burst.hot_prompt_pa = 500'000;
  CHECK(judged(scenario, {good_row(1), burst}).outcome == Outcome::kFail);
}

TEST_CASE("judge: a good container taken out is a false reject, held against its limit") {
  Scenario scenario = bare_scenario();
  scenario.run_limits.false_rejects_percent_max = 25.0;
  Rows rows{good_row(1), good_row(2), removed(bad_row(3, Cause::kDose)), removed(good_row(4))};
  const Verdict quarter = judged(scenario, rows);
  CHECK(quarter.outcome == Outcome::kPass);
  CHECK(quarter.false_rejects.count == 1);
  CHECK(quarter.false_rejects.of == 4);
  rows[1] = removed(good_row(2));
  const Verdict half = judged(scenario, rows);
  CHECK(half.outcome == Outcome::kFail);
  const Finding finding = finding_of(half, "false_rejects_percent_max");
  CHECK(finding.measured == 50.0);
  CHECK(finding.first->container == 2);
}

TEST_CASE("judge: removals have their own limit, good or bad") {
  Scenario scenario = bare_scenario();
  scenario.run_limits.removed_percent_max = 40.0;
  const Verdict verdict =
      judged(scenario, {removed(bad_row(1, Cause::kDose)), good_row(2), good_row(3)});
  CHECK(verdict.outcome == Outcome::kPass);
  scenario.run_limits.removed_percent_max = 33.0;
  CHECK(judged(scenario, {removed(bad_row(1, Cause::kDose)), good_row(2), good_row(3)}).outcome ==
        Outcome::kFail);
}

TEST_CASE("judge: a run without a container shows nothing: inconclusive") {
  const Verdict verdict = judged(bare_scenario(), {});
  CHECK(verdict.outcome == Outcome::kInconclusive);
  CHECK(verdict.reason == "escapes: nothing was measured, so nothing is shown");
  LedgerRow stuck = good_row(1);
  stuck.gate_us = 0;
  CHECK(judged(bare_scenario(), {stuck}).outcome == Outcome::kInconclusive);
}

TEST_CASE("judge: too few containers fail a scenario that asks for more") {
  Scenario scenario = bare_scenario();
  scenario.run_limits.containers_min = 3;
  CHECK(judged(scenario, {good_row(1), good_row(2), good_row(3)}).outcome == Outcome::kPass);
  LedgerRow stuck = good_row(3);
  stuck.gate_us = 0;
  const Verdict verdict = judged(scenario, {good_row(1), good_row(2), stuck});
  CHECK(verdict.outcome == Outcome::kFail);
  CHECK(verdict.reason == "finished 2 containers, at least 3 containers needed");
}

TEST_CASE("judge: only the first hundred bad rows are kept, however many there are") {
  const Scenario scenario = bare_scenario();
  Judge many(scenario);
  for (std::int64_t n = 1; n <= 10'000; ++n) many.on_row(bad_row(n, Cause::kDose));
  const Verdict verdict = many.finish({});
  CHECK(verdict.escapes.count == 10'000);
  REQUIRE(verdict.bad_rows.size() == 100);
  CHECK(verdict.bad_rows.front().container == 1);
  CHECK(verdict.bad_rows.back().container == 100);
}

TEST_CASE("judge: a scenario whose disturbance meets too few containers proves nothing") {
  Scenario scenario = bare_scenario();
  scenario.run_limits.exposed_min = 2;
  Rows rows{good_row(1), good_row(2), good_row(3)};
  rows[0].befell = befell_bit(Befell::kStop);
  const Verdict verdict = judged(scenario, rows);
  CHECK(verdict.exposed == 1);
  CHECK(verdict.reason ==
        "met a disturbance 1 containers, at least 2 containers needed; a run that does not reach "
        "this proves nothing");
  rows[2].befell = befell_bit(Befell::kStop) | befell_bit(Befell::kFallen);
  CHECK(judged(scenario, rows).outcome == Outcome::kPass);
}

TEST_CASE("judge: a run in which no recipe was refused, or too few were taken, proves nothing") {
  Scenario scenario = bare_scenario();
  scenario.run_limits.recipes_taken_min = 2;
  scenario.run_limits.recipes_refused_min = 1;
  Changes changes{{Instant{1}, Channel::kRecipeState, 1}, {Instant{2}, Channel::kRecipeState, -1}};
  const Verdict once = judged(scenario, {good_row(1)}, changes);
  CHECK(finding_of(once, "recipes_taken_min").outcome == Outcome::kFail);
  CHECK(finding_of(once, "recipes_refused_min").outcome == Outcome::kPass);
  changes.push_back({Instant{3}, Channel::kRecipeState, 1});
  CHECK(judged(scenario, {good_row(1)}, changes).outcome == Outcome::kPass);
  const Verdict never = judged(scenario, {good_row(1)},
                               {changes[0], {Instant{2}, Channel::kRecipeState, 0}, changes[2]});
  CHECK(finding_of(never, "recipes_refused_min").outcome == Outcome::kFail);
}

TEST_CASE("judge: a container that the sensor missed is told by a second one, a wrong one never") {
  Scenario scenario = wired_scenario();
  Rows rows{bad_row(1, Cause::kNoDose), bad_row(2, Cause::kDoubleDose), bad_row(3, Cause::kWait)};
  rows[0].befell = befell_bit(Befell::kUnseen);
  rows[2].befell = befell_bit(Befell::kWrongContainer);
  CHECK(judged(scenario, rows).escapes_sensed.count == 1);
  scenario.plant.line.controls.lid_sensor = true;
  CHECK(judged(scenario, rows).escapes_sensed.count == 2);
}

TEST_CASE("judge: a shot that a stuck valve did not pass is told by feedback and by nothing else") {
  Scenario scenario = wired_scenario();
  Rows rows{bad_row(1, Cause::kNoDose), bad_row(2, Cause::kNoDose)};
  rows[0].befell = befell_bit(Befell::kValveTrouble);
  CHECK(judged(scenario, rows).escapes_sensed.count == 1);  // the controller counts its own shots
  scenario.plant.line.valve.feedback_delay_us = 1'000;
  CHECK(judged(scenario, rows).escapes_sensed.count == 2);
}

TEST_CASE("judge: a shot that fell beside its container is told by pulses alone") {
  Scenario scenario = bare_scenario();
  Rows rows{bad_row(1, Cause::kNoDose), bad_row(2, Cause::kNoDose)};
  rows[0].befell = befell_bit(Befell::kCreep);
  CHECK(judged(scenario, rows).escapes_sensed.count == 1);
  scenario.plant.line.controls.line_pulse_pitch_um = 20'000;
  CHECK(judged(scenario, rows).escapes_sensed.count == 2);
}

TEST_CASE("judge: where a valve out of order put its shot feedback tells, a jet aside nothing") {
  Scenario scenario = wired_scenario();
  Rows rows{bad_row(1, Cause::kLanding)};
  rows[0].befell = befell_bit(Befell::kValveTrouble);
  CHECK(judged(scenario, rows).escapes_sensed.count == 0);
  scenario.plant.line.valve.feedback_delay_us = 1'000;
  CHECK(judged(scenario, rows).escapes_sensed.count == 1);
  scenario.plant.happens.valve = {
      {.kind = ValveTroubleKind::kDeflected, .at = Instant{0}, .lasts = 60_s}};
  CHECK(judged(scenario, rows).escapes_sensed.count == 0);
  scenario.plant.happens.valve[0].at = Instant{30'000'000};  // after it landed
  CHECK(judged(scenario, rows).escapes_sensed.count == 1);
}

TEST_CASE("judge: a shot short of liquid is told where head and body are measured") {
  Scenario scenario = wired_scenario();
  Rows rows{bad_row(1, Cause::kDose)};
  scenario.plant.line.supply.emplace();
  scenario.plant.line.supply->sample_us = 100'000;
  CHECK(judged(scenario, rows).escapes_sensed.count == 0);
  rows[0].befell = befell_bit(Befell::kLowHead);
  CHECK(judged(scenario, rows).escapes_sensed.count == 1);
  scenario.plant.line.supply->sample_us = 0;
  CHECK(judged(scenario, rows).escapes_sensed.count == 0);
}
