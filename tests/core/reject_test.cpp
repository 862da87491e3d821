#include "firmware_sim/core/reject_eye.hpp"

#include <doctest/doctest.h>

#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// A rotary line that expects a wait of `wait_us` whatever the speed. One container, landing at
/// 658 000 us, crosses the seam at 1 658 000, between the pulses of 1 650 000 and 1 660 000, and
/// the gate's middle at 2 658 000.
Changes with_expected_wait(std::int32_t wait_us) {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kWaitSource, static_cast<int>(WaitSource::kFixed));
  recipe.set(Parameter::kWaitFixedUs, wait_us);
  Script script;
  script.started(recipe).belt(0, 3'000'000, 10'000).container(103'000);
  return play(script, 3'000'000);
}

Script queued_line() {
  Script script;
  return script.started(queued_recipe()).belt(0, 6'000'000, 10'000);
}

}  // namespace

TEST_CASE("reject: a wait off by wait_error_max_us is good, by one microsecond more is not") {
  // It was sealed 992 000 to 1 002 000 us after it was dosed, and may be 50 000 off.
  const Changes good = with_expected_wait(1'042'000);
  CHECK(history(good, Counter::kWaitOutOfRange) == "");
  CHECK(gate_history(good) == "");
  CHECK(gate_history(with_expected_wait(952'000)) == "");
  const Changes bad = with_expected_wait(1'042'001);
  CHECK(history(bad, Counter::kWaitOutOfRange) == "1660000=1");
  CHECK(history(bad, Counter::kRejected) == "1660000=1");
  CHECK(gate_history(bad) == "2624667=1 2691335=0");
  CHECK(history(with_expected_wait(951'999), Counter::kWaitOutOfRange) == "1660000=1");
}

TEST_CASE("reject: a stop between nozzle and seam is a wait too long") {
  Script script;
  script.started(rotary_recipe()).belt(0, 1'000'000, 10'000).container(103'000);
  script.set(1'000'000, Channel::kRunPermit, 0).set(2'000'000, Channel::kRunPermit, 1);
  script.belt(2'000'000, 5'000'000, 10'000);
  const Changes outputs = play(script, 5'000'000);
  CHECK(history(outputs, Counter::kWaitOutOfRange) == "2660000=1");
  CHECK(gate_history(outputs) == "3624667=1 3691335=0");
}

TEST_CASE("reject: one that a coasting belt leaves right before the seamer has waited too long") {
  // At constant speed it would be sealed at 1 658 000. The pulse after that of 1 650 000 comes when
  // the belt starts again: it may have stopped on either side of the seam.
  Script script;
  script.started(rotary_recipe()).belt(0, 1'650'000, 10'000).container(103'000);
  script.set(1'640'000, Channel::kRunPermit, 0).set(4'000'000, Channel::kRunPermit, 1);
  script.belt(4'000'000, 6'000'000, 10'000);
  const Changes outputs = play(script, 6'000'000);
  CHECK(history(outputs, Counter::kWaitOutOfRange) == "4010000=1");
}

TEST_CASE("reject: a container counts as sealed once it is past the seam wherever it may be") {
  // Its place is believed to 4 mm: 2 ms of belt before the pulse of 1 660 000 are 1.2 mm.
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kLandingErrorMaxUm, 4'000);
  recipe.set(Parameter::kDoseUg, 1);  // cannot be dosed, so it is rejected
  Script script;
  script.started(recipe).belt(0, 3'000'000, 10'000).container(103'000);
  CHECK(history(play(script, 3'000'000), Counter::kRejected) == "1670000=1");
}

TEST_CASE("reject: where there is no gate nothing is sent to it") {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kSensorToGateUm, 0);
  recipe.set(Parameter::kDoseUg, 1);
  Script script;
  script.started(recipe).belt(0, 5'000'000, 10'000).container(103'000);
  const Changes outputs = play(script, 5'000'000);
  CHECK(history(outputs, Counter::kDoseOutOfRange) == "628000=1");
  CHECK(history(outputs, Counter::kRejected) == "");
  CHECK(gate_history(outputs) == "");
}

TEST_CASE("reject: neighbours whose windows touch keep the gate out between them") {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kDoseUg, 1);  // nothing can be dosed
  recipe.set(Parameter::kGateBeforeUm, 45'000);
  recipe.set(Parameter::kGateAfterUm, 44'999);
  Script script;
  script.started(recipe).belt(0, 5'000'000, 10'000);
  script.container(403'000).container(553'000);  // 90 mm apart
  const Changes outputs = play(script, 5'000'000);
  CHECK(history(outputs, Counter::kRejected) == "1960000=1 2110000=2");
  CHECK(gate_history(outputs) == "2883000=1 3183000=0");
}

TEST_CASE("reject: a good container between two bad ones is let through") {
  Script script;
  script.started(rotary_recipe()).belt(0, 3'500'000, 10'000);
  script.pulse(103'500, Channel::kContainerSensor, 40'000).container(253'000);
  script.pulse(403'500, Channel::kContainerSensor, 40'000);
  CHECK(gate_history(play(script, 3'500'000)) == "2624667=1 2691335=0 2924667=1 2991335=0");
}

TEST_CASE("reject: a pulse that jumps over the whole window still moves the gate") {
  // One pulse every 600 mm, first every 3 s, then every 0.5 s. The container's centre is at the
  // gate at 1 950 mm: just before the pulse at 9.5 s (2 400 mm) the belt was thought at 1 900 mm.
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kLinePulsePitchUm, 600'000);
  recipe.set(Parameter::kSensorToNozzleUm, 30'000);
  recipe.set(Parameter::kNozzleToSeamUm, 500'000);
  recipe.set(Parameter::kSensorToGateUm, 657'100);
  recipe.set(Parameter::kDoseUg, 1);
  Script script;
  script.started(recipe).belt(0, 9'000'000, 3'000'000);
  script.pulse(6'300'000, Channel::kContainerSensor, 300'000);
  script.belt(9'000'000, 12'000'000, 500'000);
  // Late, but as wide as it should have been: 40 mm at 1.2 um/us.
  CHECK(gate_history(play(script, 13'000'000)) == "9500000=1 9533335=0");
}

TEST_CASE(
    "reject: on a queued line the first discharged is the first dosed, and its wait decides") {
  // Landings at 658 000 and 808 000 us; seamed 100 000 before each discharge edge.
  Script script = queued_line();
  script.container(103'000).container(253'000);
  script.pulse(2'808'000, Channel::kDischargeSensor, 50'000);  // waited 2 050 000: just good
  script.pulse(2'958'001, Channel::kDischargeSensor, 50'000);  // waited 2 050 001
  const Changes outputs = play(script, 6'000'000);
  CHECK(history(outputs, Counter::kWaitOutOfRange) == "2958001=1");
  // 1 774.8 mm, 33 mm from edge to centre, 600 mm to the gate; 20 mm before and after.
  CHECK(gate_history(outputs) == "3979667=1 4046335=0");
}

TEST_CASE("reject: a discharged container that was never admitted is rejected") {
  Script script = queued_line();
  script.pulse(1'000'000, Channel::kDischargeSensor, 50'000);
  const Changes outputs = play(script, 6'000'000);
  CHECK(history(outputs, Counter::kDischargeUnexpected) == "1000000=1");
  CHECK(history(outputs, Counter::kRejected) == "1000000=1");
  CHECK(gate_history(outputs) == "2021667=1 2088335=0");
}

TEST_CASE("reject: a container still before the nozzle cannot be the one discharged") {
  Script script = queued_line();
  script.container(103'000);
  script.pulse(622'999, Channel::kDischargeSensor, 50'000);
  const Changes outputs = play(script, 6'000'000);
  CHECK(history(outputs, Counter::kDischargeUnexpected) == "622999=1");
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0");
}

TEST_CASE("reject: a locked line does not listen to the discharge sensor") {
  Script script;
  script.started(rotary_recipe()).belt(0, 3'000'000, 10'000);
  script.pulse(1'000'000, Channel::kDischargeSensor, 50'000);
  CHECK(history(play(script, 3'000'000), Counter::kDischargeUnexpected) == "");
}

TEST_CASE("reject eye: more rejects on their way than it can hold count as missed, oldest first") {
  RejectEye eye;
  Counters counters;
  for (int i = 0; i < 32; ++i) eye.expect(Instant{1'000 + i}, counters);
  CHECK(eye.missed() == 0);
  eye.expect(Instant{2'000}, counters);
  CHECK(eye.missed() == 1);
  CHECK(counters.value(Counter::kRejectUnconfirmed) == 1);
  CHECK(eye.due() == Instant{1'001});
}

TEST_CASE("reject: more containers than can be tracked to the gate are a fault, and all are out") {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kSensorToGateUm, 50'000'000);
  Script script;
  script.started(recipe).belt(0, 25'000'000, 10'000);
  for (int i = 0; i < 129; ++i) {
    script.pulse(103'500 + 150'000 * i, Channel::kContainerSensor, 40'000);  // too narrow
  }
  // Each is decided at the seam, 1 555 000 us behind its edge: 128 find room.
  const Changes outputs = play(script, 25'000'000);
  CHECK(history(outputs, Counter::kRejected).ends_with("20710000=128"));
  CHECK(history(outputs, Channel::kAlarm) ==
        "20860000=" + std::to_string(static_cast<int>(Fault::kContainerQueueFull)));
}
