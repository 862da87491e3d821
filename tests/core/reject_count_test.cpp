#include <doctest/doctest.h>

#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

RecipeValues with(std::initializer_list<std::pair<Parameter, std::int32_t>> changes) {
  RecipeValues recipe = counted_recipe();
  for (const auto& [parameter, value] : changes) recipe.set(parameter, value);
  return recipe;
}

Script line(const RecipeValues& recipe, std::int64_t until = 12'000'000) {
  Script script;
  script.set(500, Channel::kSeamerRunning, 1).set(500, Channel::kGateAir, 1);
  return script.started(recipe).belt(0, until, 10'000);
}

/// Passes the sensor and is discharged when its wait is over.
void through(Script& script, std::int64_t edge) {
  script.container(edge).pulse(edge + 2'655'000, Channel::kDischargeSensor, 50'000);
}
/// The same, but too narrow to be plausible: it is rejected.
void narrow(Script& script, std::int64_t edge) {
  script.pulse(edge + 500, Channel::kContainerSensor, 40'000);
  script.pulse(edge + 2'655'000, Channel::kDischargeSensor, 50'000);
}

}  // namespace

TEST_CASE("reject by count: one neighbour before and one behind go with the rejected one") {
  Script script = line(with({{Parameter::kRejectNeighbours, 1}}));
  for (const std::int64_t edge : {103'000, 253'000, 553'000, 703'000}) through(script, edge);
  narrow(script, 403'000);
  const Changes outputs = play(script, 12'000'000);
  CHECK(history(outputs, Counter::kRejected) == "3058000=2 3208000=3");
  CHECK(history(outputs, Counter::kNeighbourRejected) == "3058000=1 3208000=2");
  // The second, third and fourth; 90 mm apart, the gate comes back between them.
  CHECK(gate_history(outputs) == "3929667=1 3996335=0 4079667=1 4146335=0 4229667=1 4296335=0");
}

TEST_CASE("reject by count: two bad ones share the neighbours between them") {
  Script script = line(with({{Parameter::kRejectNeighbours, 2}}));
  for (const std::int64_t edge : {103'000, 253'000, 403'000, 853'000, 1'003'000, 1'153'000}) {
    through(script, edge);
  }
  narrow(script, 553'000);
  narrow(script, 703'000);
  const Changes outputs = play(script, 12'000'000);
  CHECK(history(outputs, Counter::kNeighbourRejected) == "3208000=2 3508000=3 3658000=4");
  CHECK(history(outputs, Counter::kRejected).ends_with("3658000=6"));
}

TEST_CASE("reject by count: a neighbour that has passed the gate is past help") {
  Script script =
      line(with({{Parameter::kRejectNeighbours, 1}, {Parameter::kDischargeToGateUm, 1'000}}));
  through(script, 103'000);
  narrow(script, 403'000);
  const Changes outputs = play(script, 12'000'000);
  CHECK(history(outputs, Counter::kNeighbourRejected) == "");
  CHECK(history(outputs, Counter::kRejected) == "3058000=1");
}

TEST_CASE("reject by count: on a locked line the neighbours go too") {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kRejectNeighbours, 1);
  Script script;
  script.started(recipe).belt(0, 6'000'000, 10'000);
  script.container(103'000).container(253'000).container(553'000).container(703'000);
  script.pulse(403'500, Channel::kContainerSensor, 40'000);
  const Changes outputs = play(script, 6'000'000);
  CHECK(history(outputs, Counter::kRejected) == "1960000=2 2110000=3");
  CHECK(gate_history(outputs) == "2774667=1 2841335=0 2924667=1 2991335=0 3074667=1 3141335=0");
}

TEST_CASE("reject by count: one too many at the discharge, and all are rejected until a gap") {
  const auto put_in_at = [](std::int64_t us) {
    Script script = line(with({{Parameter::kDischargeGapUs, 3'500'000}}));
    script.pulse(us, Channel::kDischargeSensor, 50'000);  // never admitted
    through(script, 2'103'000);                           // discharged at 4 758 000
    through(script, 2'253'000);
    through(script, 5'903'000);  // discharged 3 650 000 behind the one before it
    return play(script, 12'000'000);
  };
  const Changes unsure = put_in_at(1'300'000);
  CHECK(history(unsure, Counter::kDischargeUnexpected) == "1300000=1");
  CHECK(history(unsure, Counter::kCountUnsure) == "4758000=1 4908000=2");
  CHECK(history(unsure, Counter::kRejected) == "1300000=1 4758000=2 4908000=3");
  // So much sooner that the gap has ended before they come.
  const Changes sure = put_in_at(1'257'999);
  CHECK(history(sure, Counter::kCountUnsure) == "");
  CHECK(history(sure, Counter::kRejected) == "1257999=1");
}

TEST_CASE("reject by count: one discharged before the next can have come was not counted") {
  // 600 mm and a second from sensor to seamer: the next one was seen too late to be it.
  Script script = line(with({{Parameter::kDischargeGapUs, 2'500'000}}));
  through(script, 103'000);  // discharged at 2 758 000
  through(script, 253'000);  // 2 908 000
  script.container(2'203'000).container(2'353'000);
  script.pulse(3'058'000, Channel::kDischargeSensor, 50'000);  // nobody saw it
  script.pulse(4'858'000, Channel::kDischargeSensor, 50'000);
  script.pulse(5'008'000, Channel::kDischargeSensor, 50'000);
  const Changes outputs = play(script, 12'000'000);
  CHECK(history(outputs, Counter::kDischargeUnexpected) == "3058000=1");
  // It may have been any of the three; those two that come later are counted right again.
  CHECK(history(outputs, Counter::kNeighbourRejected) == "3058000=2");
  CHECK(history(outputs, Counter::kRejected) == "3058000=3");
  CHECK(history(outputs, Counter::kWaitOutOfRange) == "");
  CHECK(history(outputs, Counter::kCountUnsure) == "");
}

TEST_CASE("reject by count: those that came before a gap are not put in doubt by one after it") {
  Script script = line(
      with({{Parameter::kDischargeGapUs, 2'500'000}, {Parameter::kDischargeToGateUm, 3'000'000}}));
  through(script, 103'000);  // discharged at 2 758 000; at the gate long after
  script.pulse(5'358'000, Channel::kDischargeSensor, 50'000);
  const Changes outputs = play(script, 12'000'000);
  CHECK(history(outputs, Counter::kDischargeUnexpected) == "5358000=1");
  CHECK(history(outputs, Counter::kRejected) == "5358000=1");
}

TEST_CASE(
    "reject by count: one taken out by hand is missed at the next gap, and the rest is in step") {
  Script script = line(with({{Parameter::kDischargeGapUs, 2'500'000}}));
  through(script, 103'000);   // discharged at 2 758 000
  script.container(253'000);  // dosed, and never discharged
  through(script, 5'103'000);
  narrow(script, 5'403'000);
  through(script, 5'703'000);
  const Changes outputs = play(script, 12'000'000);
  CHECK(history(outputs, Counter::kDischargeMissing) == "5258000=1");
  // The narrow one and no other.
  CHECK(history(outputs, Counter::kRejected) == "8058000=1");
  CHECK(history(outputs, Counter::kWaitOutOfRange) == "");
}

TEST_CASE("reject by count: without a gap limit the one taken out shifts the count for good") {
  Script script = line(with({{Parameter::kWaitErrorMaxUs, 10'000'000}}));
  through(script, 103'000);
  script.container(253'000);
  through(script, 3'403'000);
  narrow(script, 3'703'000);
  through(script, 4'003'000);
  const Changes outputs = play(script, 12'000'000);
  // The one behind the narrow one is taken for it: why the neighbours and the gap are there.
  CHECK(history(outputs, Counter::kRejected) == "6658000=1");
}

TEST_CASE(
    "reject by count: those that one taken out by hand may have put out of step are rejected") {
  // The gap shows that one of the three is missing while the two still are before the gate: it may
  // have been the first, and each of the two have had the dose of the one behind it.
  Script script = line(
      with({{Parameter::kDischargeGapUs, 2'500'000}, {Parameter::kDischargeToGateUm, 4'000'000}}));
  through(script, 103'000);  // discharged at 2 758 000
  through(script, 253'000);
  script.container(403'000);
  through(script, 5'103'000);
  const Changes outputs = play(script, 16'000'000);
  CHECK(history(outputs, Counter::kDischargeMissing) == "5408000=1");
  CHECK(history(outputs, Counter::kNeighbourRejected) == "5408000=2");
  CHECK(history(outputs, Counter::kRejected) == "5408000=2");  // not the one behind the gap
}

TEST_CASE("reject by count: one is missing as soon as it has had twice the way to the seamer") {
  // Landed at 658 000; the 300 mm to the seamer take half a second.
  Script script =
      line(with({{Parameter::kDischargeGapUs, 500'000}, {Parameter::kNozzleToSeamUm, 300'000}}));
  script.container(103'000);
  CHECK(history(play(script, 12'000'000), Counter::kDischargeMissing) == "1658000=1");
}

TEST_CASE("reject by count: what stands while belt or seamer stand is not missing") {
  const auto missing = [](Channel stops) {
    Script script = line(
        with({{Parameter::kDischargeGapUs, 3'500'000}, {Parameter::kWaitErrorMaxUs, 10'000'000}}));
    script.container(103'000);
    script.set(1'000'000, stops, 0).set(6'000'000, stops, 1);
    script.pulse(7'500'000, Channel::kDischargeSensor, 50'000);
    return history(play(script, 12'000'000), Counter::kDischargeMissing);
  };
  CHECK(missing(Channel::kSeamerRunning) == "");
  CHECK(missing(Channel::kRunPermit) == "");
}

TEST_CASE("reject by count: a container still on its way is not missing, however long the gap") {
  Script script = line(with({{Parameter::kDischargeGapUs, 1'000'000},
                             {Parameter::kNozzleToSeamUm, 1'500'000},
                             {Parameter::kWaitFixedUs, 4'000'000}}));
  script.container(103'000).pulse(4'758'000, Channel::kDischargeSensor, 50'000);
  const Changes outputs = play(script, 12'000'000);
  CHECK(history(outputs, Counter::kDischargeMissing) == "");
  CHECK(history(outputs, Counter::kRejected) == "");
}

TEST_CASE("reject eye: a rejected container seen to leave in time is no more to do") {
  Script script = line(with({{Parameter::kRejectConfirmUsMax, 300'000}}));
  narrow(script, 103'000);  // the gate is out from 3 779 667 us
  const auto confirmed_at = [&](std::int64_t us) {
    Script with_eye = script;
    with_eye.pulse(us, Channel::kRejectConfirmed, 10'000);
    return play(with_eye, 6'000'000);
  };
  CHECK(history(confirmed_at(4'079'666), Counter::kRejectUnconfirmed) == "");
  // At the last microsecond the input comes first.
  CHECK(history(confirmed_at(4'079'667), Counter::kRejectUnconfirmed) == "");
  const Changes late = confirmed_at(4'079'668);
  CHECK(history(late, Counter::kRejectUnconfirmed) == "4079667=1");
  CHECK(history(late, Channel::kAlarm) ==
        "4079667=" + std::to_string(static_cast<int>(Fault::kRejectUnconfirmed)));
  CHECK(history(late, Channel::kLinePermit) == "500=1 4079667=0");
}

TEST_CASE("reject eye: so many may be missed in a row, one seen in between begins anew") {
  const auto alarm = [](bool second_seen) {
    Script script = line(
        with({{Parameter::kRejectConfirmUsMax, 100'000}, {Parameter::kRejectUnconfirmedMax, 1}}));
    narrow(script, 103'000);
    narrow(script, 403'000);
    narrow(script, 703'000);
    if (second_seen) script.pulse(4'100'000, Channel::kRejectConfirmed, 10'000);
    return history(play(script, 8'000'000), Channel::kAlarm);
  };
  CHECK(alarm(true) == "");
  CHECK(alarm(false) == "4179667=" + std::to_string(static_cast<int>(Fault::kRejectUnconfirmed)));
}

TEST_CASE("reject eye: after the fault a reset lets the line run again") {
  Script script = line(with({{Parameter::kRejectConfirmUsMax, 100'000}}));
  narrow(script, 103'000);
  script.pulse(5'000'000, Channel::kOperatorReset, 1'000);
  CHECK(history(play(script, 8'000'000), Channel::kAlarm).ends_with(" 5000000=0"));
}

TEST_CASE("gate: without air, or with a full bin, it can remove nothing: the line permit falls") {
  const auto alarm = [](std::int32_t wired, Channel channel, std::int32_t level) {
    Script script = line(with({{Parameter::kGateSignals, wired}}));
    script.set(1'000'000, channel, level);
    script.pulse(2'000'000, Channel::kOperatorReset, 1'000);
    script.set(3'000'000, channel, 1 - level);
    script.pulse(4'000'000, Channel::kOperatorReset, 1'000);
    return history(play(script, 5'000'000), Channel::kAlarm);
  };
  const auto latched = [](Fault fault) {
    return "1000000=" + std::to_string(static_cast<int>(fault)) + " 4000000=0";
  };
  CHECK(alarm(1, Channel::kGateAir, 0) == latched(Fault::kGateAirLow));
  CHECK(alarm(1, Channel::kRejectBinFull, 1) == latched(Fault::kRejectBinFull));
  CHECK(alarm(0, Channel::kGateAir, 0) == "");
  CHECK(alarm(0, Channel::kRejectBinFull, 1) == "");
}

TEST_CASE("gate: with no room behind the seamer nothing is dosed, and no fault is latched") {
  Script script = line(with({{Parameter::kGateSignals, 1}}));
  script.container(103'000);
  script.set(600'000, Channel::kDownstreamFull, 1).set(2'000'000, Channel::kDownstreamFull, 0);
  const Changes outputs = play(script, 5'000'000);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Counter::kNotRunning) == "623000=1");
  CHECK(history(outputs, Channel::kMode) == "2000=1 3000=2 600000=3 2000000=2");
  CHECK(history(outputs, Channel::kAlarm) == "");
}
