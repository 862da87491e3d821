/// What the stream of changes says about the controller.

#include <doctest/doctest.h>

#include "tests/judge/judged.hpp"

using namespace rimebench;

namespace {

SignalChange permit(std::int64_t at_us, int value) {
  return {Instant{at_us}, Channel::kRunPermit, value};
}
SignalChange valve(std::int64_t at_us, int value) {
  return {Instant{at_us}, Channel::kValve, value};
}
SignalChange actual(std::int64_t at_us, int value) {
  return {Instant{at_us}, Channel::kValveActual, value};
}
SignalChange alarm(std::int64_t at_us, Fault fault) {
  return {Instant{at_us}, Channel::kAlarm, static_cast<std::int32_t>(fault)};
}

Verdict permit_judged(const Changes& changes) {
  Scenario scenario = bare_scenario();
  scenario.run_limits.permit_reaction_us_max = 1'000;
  return judged(scenario, {good_row(1)}, changes);
}

Finding reaction_of(const Changes& changes) {
  return finding_of(permit_judged(changes), "permit_reaction_us_max");
}

}  // namespace

TEST_CASE("judge: a valve that closes in the microsecond of the lost permit reacted in 0 us") {
  const Finding finding =
      reaction_of({permit(1, 1), valve(100, 1), permit(200, 0), valve(200, 0), permit(900, 1)});
  CHECK(finding.outcome == Outcome::kPass);
  CHECK(finding.measured == 0.0);
  CHECK(finding.looked_at == 1);
}

TEST_CASE("judge: the reaction is counted from the permit's loss to the close command") {
  const Finding kept = reaction_of({permit(1, 1), valve(100, 1), permit(200, 0), valve(1'200, 0)});
  CHECK(kept.measured == 1'000.0);
  CHECK(kept.outcome == Outcome::kPass);
  const Finding late =
      reaction_of({permit(1, 1), valve(100, 1), permit(200, 0), valve(1'201, 0), permit(2'000, 1),
                   valve(3'000, 1), permit(3'100, 0), valve(9'100, 0)});
  CHECK(late.outcome == Outcome::kFail);
  CHECK(late.measured == 6'000.0);
  CHECK(late.breaches == 2);
  CHECK(late.looked_at == 2);
  CHECK(late.first->at.us == 200);
  CHECK(late.first->container == 0);
  CHECK(late.first->measured.value() == 1'001.0);
}

TEST_CASE("judge: a permit that returns does not excuse a valve that stayed open") {
  const Finding finding =
      reaction_of({permit(1, 1), valve(100, 1), permit(200, 0), permit(700, 1), valve(9'200, 0)});
  CHECK(finding.outcome == Outcome::kFail);
  CHECK(finding.measured == 9'000.0);
}

TEST_CASE("judge: a valve that opens while the permit is away counts from the loss") {
  const Finding finding =
      reaction_of({permit(1, 1), permit(200, 0), valve(5'000, 1), valve(6'000, 0)});
  CHECK(finding.outcome == Outcome::kFail);
  CHECK(finding.measured == 5'800.0);
  CHECK(reaction_of({valve(5'000, 1), valve(6'000, 0)}).outcome == Outcome::kFail);
}

TEST_CASE("judge: a valve that never closes again is measured to the end of the run") {
  const Finding finding = reaction_of({permit(1, 1), valve(100, 1), permit(200, 0)});
  CHECK(finding.outcome == Outcome::kFail);
  CHECK(finding.measured == 600'000'000.0 - 200.0);
}

TEST_CASE("judge: shots with the permit given are nobody's reaction") {
  const Finding finding =
      reaction_of({permit(1, 1), valve(100, 1), valve(9'000, 0), permit(9'500, 0),
                   permit(20'000, 1), valve(30'000, 1), valve(50'000, 0)});
  CHECK(finding.outcome == Outcome::kPass);
  CHECK(finding.measured == 0.0);
}

TEST_CASE("judge: a permit that was never lost shows nothing about the reaction: inconclusive") {
  const Verdict verdict = permit_judged({permit(1, 1), valve(100, 1), valve(9'000, 0)});
  CHECK(verdict.outcome == Outcome::kInconclusive);
  CHECK(verdict.reason ==
        "run permit lost to valve commanded closed: nothing was measured, so nothing is shown");
}

TEST_CASE("judge: an alarm that nobody expected fails, and says when it came") {
  const Verdict verdict =
      judged(bare_scenario(), {good_row(1)}, {alarm(4'000'000, Fault::kValveStuckOpen)});
  CHECK(verdict.outcome == Outcome::kFail);
  CHECK(verdict.alarm == "valve_stuck_open");
  CHECK(verdict.reason == "alarm at the end valve_stuck_open, none expected; first at 4.000 s");
}

TEST_CASE("judge: an expected alarm must be the one that stands at the end") {
  Scenario scenario = bare_scenario();
  scenario.expect_fault = Fault::kSupplyLost;
  const auto outcome = [&](const Changes& changes) {
    return judged(scenario, {good_row(1)}, changes).outcome;
  };
  CHECK(outcome({alarm(1, Fault::kSupplyLost)}) == Outcome::kPass);
  CHECK(outcome({}) == Outcome::kFail);
  CHECK(outcome({alarm(1, Fault::kLinkLost)}) == Outcome::kFail);
  CHECK(outcome({alarm(1, Fault::kSupplyLost), alarm(2, Fault::kNone)}) == Outcome::kFail);
}

TEST_CASE("judge: an alarm number that no fault has is shown as unknown") {
  const Verdict verdict =
      judged(bare_scenario(), {good_row(1)}, {{Instant{1}, Channel::kAlarm, 4711}});
  CHECK(verdict.outcome == Outcome::kFail);
  CHECK(verdict.alarm == "unknown");
}

TEST_CASE("judge: what must be reached and was not fails the run") {
  Scenario scenario = bare_scenario();
  scenario.must_reach = {Counter::kChatterRejected, Counter::kRejected};
  const SignalChange chatter{Instant{5}, counter_channel(Counter::kChatterRejected), 3};
  const SignalChange reject{Instant{6}, counter_channel(Counter::kRejected), 1};
  CHECK(judged(scenario, {good_row(1)}, {chatter, reject}).outcome == Outcome::kPass);
  const Verdict verdict = judged(scenario, {good_row(1)}, {chatter});
  CHECK(verdict.outcome == Outcome::kFail);
  CHECK(verdict.reason ==
        "rejected 0 times, at least 1 times needed; a run that does not reach this proves "
        "nothing");
  CHECK(verdict.counters == std::map<std::string, std::int64_t>{{"chatter_rejected", 3}});
}

TEST_CASE("judge: a lost link is inconclusive with its reason, whatever was seen before") {
  const Verdict verdict = judged(bare_scenario(), {bad_row(1, Cause::kDose)}, {},
                                 "the node is gone; last good simulated time 12 us");
  CHECK(verdict.outcome == Outcome::kInconclusive);
  CHECK(verdict.reason == "the node is gone; last good simulated time 12 us");
  CHECK(verdict.escapes.count == 1);
}

TEST_CASE("judge: shots are the valve's open commands, nitrogen what left the nozzle") {
  const Verdict verdict =
      judged(bare_scenario(), {good_row(1), good_row(2)},
             {permit(1, 1), valve(100, 1), valve(200, 0), valve(300, 1), valve(400, 0)});
  CHECK(verdict.shots == 2);
  CHECK(verdict.nozzle_g == doctest::Approx(0.16));
}

TEST_CASE("judge: an opening is as long as the valve was really open, to the end if need be") {
  Scenario scenario = bare_scenario();
  scenario.plant.line.valve.flow_ug_per_us = 3.5;
  scenario.run_limits.valve_open_us_max = 60'000;
  scenario.run_limits.nitrogen_g_max = 0.5;
  const Changes shots{valve(100, 1),     actual(8'100, 1),   valve(20'000, 0),  actual(26'000, 0),
                      valve(100'000, 1), actual(108'000, 1), valve(150'000, 0), actual(168'001, 0)};
  const Verdict verdict = judged(scenario, {good_row(1)}, shots);
  CHECK(verdict.longest_open_us == 60'001);
  CHECK(verdict.valve_g == doctest::Approx(3.5 * (17'900 + 60'001) / 1e6));
  CHECK(verdict.reason ==
        "longest opening of the valve 60001 us, at most 60000 us allowed; first at 0.108 s");
  CHECK(finding_of(verdict, "nitrogen_g_max").outcome == Outcome::kPass);
  const Verdict open = judged(scenario, {good_row(1)}, {valve(100, 1), actual(8'100, 1)});
  CHECK(open.longest_open_us == 600'000'000 - 8'100);
}

TEST_CASE("judge: a valve that was never open shows nothing about its openings") {
  Scenario scenario = bare_scenario();
  scenario.run_limits.valve_open_us_max = 60'000;
  CHECK(judged(scenario, {good_row(1)}).outcome == Outcome::kInconclusive);
}

TEST_CASE("judge: a command that the valve follows late, or never, is a stuck shot") {
  Scenario scenario = bare_scenario();
  scenario.run_limits.stuck_shots_max = 0;
  const auto stuck = [&](const Changes& changes) {
    return judged(scenario, {good_row(1)}, changes).stuck_shots;
  };
  const std::int64_t limit = ValveWatch::kFollowUs;
  CHECK(stuck({valve(0, 1), actual(limit, 1), valve(limit + 1, 0), actual(2 * limit + 1, 0)}) == 0);
  CHECK(stuck({valve(0, 1), actual(limit + 1, 1)}) == 1);
  CHECK(stuck({valve(0, 1), valve(20'000, 0), valve(200'000, 1), actual(208'000, 1)}) == 2);
  CHECK(stuck({valve(0, 1)}) == 1);  // never followed before the end
  const Verdict verdict = judged(scenario, {good_row(1)}, {valve(2'000'000, 1)});
  CHECK(verdict.outcome == Outcome::kFail);
  CHECK(finding_of(verdict, "stuck_shots_max").first->at.us == 2'000'000);
  scenario.plant.recipe.set(Parameter::kValveFeedbackUsMax, 9'000);
  CHECK(stuck({valve(0, 1), actual(9'001, 1)}) == 1);
}

TEST_CASE("judge: an opened safety chain is timed to command, valve and last liquid") {
  Scenario scenario = bare_scenario();
  scenario.run_limits.safety_reaction_us_max = 0;
  scenario.run_limits.safety_closed_us_max = 6'500;
  scenario.run_limits.safety_landed_us_max = 20'000;
  const Changes changes{
      {Instant{1}, Channel::kSafetyChain, 1},      valve(10'000, 1), actual(18'000, 1),
      {Instant{20'000}, Channel::kSafetyChain, 0}, valve(20'000, 0), actual(26'500, 0),
      {Instant{41'000}, Channel::kLanding, 3}};
  const Verdict verdict = judged(scenario, {good_row(1)}, changes);
  CHECK(finding_of(verdict, "safety_reaction_us_max").measured == 0.0);
  CHECK(finding_of(verdict, "safety_closed_us_max").measured == 6'500.0);
  const Finding landed = finding_of(verdict, "safety_landed_us_max");
  CHECK(landed.measured == 21'000.0);
  CHECK(landed.outcome == Outcome::kFail);
  CHECK(landed.first->at.us == 20'000);
}

TEST_CASE("judge: faults that must come and faults that must not, at any time") {
  Scenario scenario = bare_scenario();
  scenario.faults_must = {Fault::kSupplyLost};
  scenario.faults_must_not = {Fault::kOpenTooLong};
  const SignalChange cleared = alarm(9, Fault::kNone);
  const auto outcome = [&](const Changes& changes) {
    return judged(scenario, {good_row(1)}, changes).outcome;
  };
  CHECK(outcome({alarm(1, Fault::kSupplyLost), cleared}) == Outcome::kPass);
  CHECK(outcome({}) == Outcome::kFail);
  CHECK(outcome({alarm(1, Fault::kSupplyLost), alarm(5'000'000, Fault::kOpenTooLong), cleared}) ==
        Outcome::kFail);
  const Verdict never = judged(scenario, {good_row(1)});
  CHECK(never.reason ==
        "alarm supply_lost 0 times, at least 1 times needed; a run that does not reach this proves "
        "nothing");
}

TEST_CASE("judge: undosed and double-dosed containers are counted wherever they ended") {
  Scenario scenario = bare_scenario();
  scenario.run_limits.undosed_max = 0;
  scenario.run_limits.double_dosed_max = 0;
  Rows rows{good_row(1), removed(good_row(2)), good_row(3)};
  rows[1].shots = 0;
  rows[2].shots = 2;
  const Verdict verdict = judged(scenario, rows);
  CHECK(verdict.undosed == 1);
  CHECK(verdict.double_dosed == 1);
  CHECK(finding_of(verdict, "undosed_max").first->container == 2);
  CHECK(finding_of(verdict, "double_dosed_max").first->container == 3);
  CHECK(verdict.outcome == Outcome::kFail);
}
