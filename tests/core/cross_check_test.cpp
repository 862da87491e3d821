#include "firmware_sim/core/cross_check.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// The rotary line, never faster than 700 mm/s, containers 90 mm apart (150 000 us at 600 mm/s),
/// three implausible ones in a row being a fault.
RecipeValues checked_recipe() {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kSpeedMaxUmPerS, 700'000);
  recipe.set(Parameter::kWaitErrorMaxUs, 200'000);
  recipe.set(Parameter::kImplausibleRowMax, 3);
  recipe.set(Parameter::kPitchUm, 90'000);
  recipe.set(Parameter::kPitchErrorMaxUm, 2'500);
  recipe.set(Parameter::kPulseJumpMaxPpm, 500'000);
  recipe.set(Parameter::kSensorToGateUm, 60'000);
  return recipe;
}

RecipeValues with(Parameter parameter, std::int32_t value) {
  RecipeValues recipe = checked_recipe();
  recipe.set(parameter, value);
  return recipe;
}

/// So many containers 150 000 us apart, the first at 103 000.
void containers(Script& script, int count) {
  for (int i = 0; i < count; ++i) script.container(103'000 + 150'000 * i);
}

}  // namespace

TEST_CASE("cross-check: a steady line with its containers on the pitch shows nothing") {
  Script script;
  script.started(checked_recipe()).belt(0, 3'000'000, 10'000);
  containers(script, 8);
  const Changes outputs = play(script, 3'000'000);
  for (const Counter counter :
       {Counter::kPulseLost, Counter::kPulseExtra, Counter::kPitchImplausible, Counter::kReversal,
        Counter::kRejected}) {
    CHECK(history(outputs, counter) == "");
  }
  CHECK(history(outputs, Channel::kAlarm) == "");
}

TEST_CASE(
    "cross-check: a pulse that would mean too fast a belt is not taken, the shots stay right") {
  Script script;
  script.started(checked_recipe()).belt(0, 1'000'000, 10'000).container(103'000);
  // A bounce: two changes more, 1 ms behind a pulse, which alternates as before.
  const Changes clean = play(script, 1'000'000);
  script.pulse(401'000, Channel::kLinePulse, 1'000);  // the pulse at 400 000 left it low
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Counter::kPulseExtra) == "401000=1 402000=2");
  CHECK(history(outputs, Channel::kValve) == history(clean, Channel::kValve));
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0");
}

TEST_CASE(
    "cross-check: without the check a bounce looks like a belt so fast that the shot is too late") {
  Script script;
  script.started(with(Parameter::kImplausibleRowMax, 0));
  script.belt(0, 1'000'000, 10'000).container(103'000);
  script.pulse(401'000, Channel::kLinePulse, 1'000);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Counter::kPulseExtra) == "");
  CHECK(history(outputs, Counter::kTooLate) == "401000=1");
  CHECK(history(outputs, Channel::kValve) == "");
}

TEST_CASE("cross-check: a lost pulse is put in, those on their way to the nozzle are not dosed") {
  Script script;
  script.started(checked_recipe()).belt(0, 400'000, 10'000);
  script.belt(410'000, 3'000'000, 10'000);  // the one at 410 000 is missing
  containers(script, 4);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Counter::kPulseLost) == "420000=1");
  // Three had been seen; the fourth is dosed as if nothing had been lost.
  CHECK(history(outputs, Channel::kValve) == "1073000=1 1093000=0");
  CHECK(history(outputs, Counter::kRejected) == "1660000=1 1810000=2 1960000=3");
  CHECK(history(outputs, Counter::kPitchImplausible) == "");
}

TEST_CASE("cross-check: a belt that really slows by half is believed at its second long period") {
  Script script;
  script.started(checked_recipe()).belt(0, 400'000, 10'000).belt(400'000, 1'000'000, 20'000);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Counter::kPulseLost) == "420000=1");
}

TEST_CASE("cross-check: a belt that stood is not one that lost its pulses") {
  Script script;
  script.started(checked_recipe()).belt(0, 400'000, 10'000).belt(450'000, 1'000'000, 10'000);
  CHECK(history(play(script, 1'000'000), Counter::kPulseLost) == "");
}

TEST_CASE("cross-check: while the line is without its permit pulses may stretch as they like") {
  Script script;
  script.started(checked_recipe()).belt(0, 400'000, 10'000).belt(410'000, 1'000'000, 10'000);
  script.set(405'000, Channel::kRunPermit, 0).set(700'000, Channel::kRunPermit, 1);
  CHECK(history(play(script, 1'000'000), Counter::kPulseLost) == "");
}

TEST_CASE(
    "cross-check: a container off the pitch puts those before it in doubt, itself it is right") {
  Script script;
  script.started(checked_recipe()).belt(0, 3'000'000, 10'000);
  containers(script, 2);
  script.container(403'000 + 4'170);  // 2 502 um late
  script.container(403'000 + 4'170 + 150'000);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Counter::kPitchImplausible) == "409670=1");
  CHECK(history(outputs, Channel::kValve) == "927170=1 947170=0 1077170=1 1097170=0");
  CHECK(history(outputs, Counter::kRejected) == "1660000=1 1810000=2");
  CHECK(history(outputs, Channel::kAlarm) == "");
}

TEST_CASE("cross-check: just inside pitch_error_max_um, or two pitches on, nothing is doubted") {
  const auto third_at = [](std::int64_t us) {
    Script script;
    script.started(checked_recipe()).belt(0, 1'000'000, 10'000);
    containers(script, 2);
    script.container(us);
    return history(play(script, 1'000'000), Counter::kPitchImplausible);
  };
  CHECK(third_at(403'000 + 4'160) == "");
  CHECK(third_at(403'000 - 4'160) == "");
  CHECK(third_at(403'000 - 4'175) != "");
  CHECK(third_at(553'000) == "");
}

TEST_CASE("cross-check: pulses that slip on container after container are a fault") {
  Script script;
  script.started(checked_recipe()).belt(0, 3'000'000, 10'000);
  for (int i = 0; i < 5; ++i) script.container(103'000 + 160'000 * i);  // 96 mm apart
  const Changes outputs = play(script, 3'000'000);
  // Doubt before the second, third and fourth.
  CHECK(history(outputs, Counter::kPitchImplausible) == "265500=1 425500=2 585500=3 745500=4");
  CHECK(history(outputs, Channel::kAlarm) ==
        "585500=" + std::to_string(static_cast<int>(Fault::kPulseImplausible)));
  CHECK(gate_history(outputs) == "585500=1");  // for whatever comes
  CHECK(history(outputs, Channel::kLinePermit) == "1000=1 585500=0");
  CHECK(history(outputs, Channel::kValve) == "");
}

TEST_CASE("cross-check: after the fault the line is cleared and a reset begins anew") {
  Script script;
  script.started(checked_recipe()).belt(0, 4'000'000, 10'000);
  for (int i = 0; i < 4; ++i) script.container(103'000 + 160'000 * i);
  script.pulse(1'000'000, Channel::kOperatorReset, 1'000);
  script.pulse(1'010'000, Channel::kOperatorReset, 1'000);
  script.pulse(1'020'000, Channel::kOperatorStart, 1'000);
  script.container(1'503'000).container(1'653'000);
  const Changes outputs = play(script, 4'000'000);
  CHECK(history(outputs, Channel::kAlarm).ends_with("1000000=0"));
  CHECK(gate_history(outputs) == "585500=1 1000000=0");
  CHECK(history(outputs, Channel::kValve) == "2023000=1 2043000=0 2173000=1 2193000=0");
}

TEST_CASE("cross-check: containers pass the sensor and no pulse comes: the pulse is lost") {
  Script script;
  script.started(checked_recipe()).belt(0, 400'000, 10'000);
  containers(script, 6);  // at 403 500 the first behind the last pulse
  const Changes outputs = play(script, 3'000'000);
  // Counted from the second edge without a pulse before it.
  CHECK(history(outputs, Channel::kAlarm) ==
        "855500=" + std::to_string(static_cast<int>(Fault::kPulseLost)));
  CHECK(gate_history(outputs) == "855500=1");
}

TEST_CASE("cross-check: of two faults found at one instant the first is told") {
  // Cans 0 mm wide at one place: at the third without a pulse before it the pulse is lost, and the
  // third in a row is implausible.
  Script script;
  script.started(with(Parameter::kPitchMinUm, 0)).belt(0, 400'000, 10'000);
  containers(script, 6);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Channel::kAlarm) ==
        "855500=" + std::to_string(static_cast<int>(Fault::kPulseLost)));
  CHECK(history(outputs, Counter::kWidthImplausible) == "515500=1 665500=2 815500=3 965500=4");
}

TEST_CASE(
    "cross-check: with the permit given a pulse comes within pulse_us_max, or it is a fault") {
  const auto silent_until = [](std::int64_t us) {
    Script script;
    script.started(with(Parameter::kPulseUsMax, 200'000)).belt(0, 400'000, 10'000);
    script.belt(us - 10'000, 1'000'000, 10'000);
    return history(play(script, 1'000'000), Channel::kAlarm);
  };
  CHECK(silent_until(599'999) == "");
  CHECK(silent_until(600'000) == "");
  CHECK(silent_until(600'001) == "600000=" + std::to_string(static_cast<int>(Fault::kPulseLost)));
}

TEST_CASE(
    "cross-check: a line that stands without its permit owes no pulse, one that starts does") {
  Script script;
  script.started(with(Parameter::kPulseUsMax, 200'000)).belt(0, 400'000, 10'000);
  script.set(500'000, Channel::kRunPermit, 0).set(5'000'000, Channel::kRunPermit, 1);
  CHECK(history(play(script, 5'200'000), Channel::kAlarm) == "");
  CHECK(history(play(script, 6'000'000), Channel::kAlarm) ==
        "5200000=" + std::to_string(static_cast<int>(Fault::kPulseLost)));
}

TEST_CASE("cross-check: a line without pulses owes none") {
  Script script;
  RecipeValues recipe = with(Parameter::kPulseUsMax, 200'000);
  recipe.set(Parameter::kLinePulsePitchUm, 0);
  recipe.set(Parameter::kLineSpeedUmPerS, 600'000);
  script.started(recipe).container(103'000);
  CHECK(history(play(script, 2'000'000), Channel::kAlarm) == "");
}

TEST_CASE("cross-check: off its pitch behind a stop, though no pulse told: the belt went back") {
  // Stopped at 132 mm, 0.6 um a microsecond from 1 000 000 us on; the next is due at 151.8 mm.
  const auto second_at = [](std::int64_t us) {
    Script script;
    script.started(checked_recipe()).belt(0, 220'000, 10'000).container(103'000);
    script.set(222'000, Channel::kRunPermit, 0).set(1'000'000, Channel::kRunPermit, 1);
    script.belt(1'000'000, 3'000'000, 10'000).container(us);
    return play(script, 3'000'000);
  };
  const Changes on_pitch = second_at(1'033'000);
  CHECK(history(on_pitch, Counter::kReversal) == "");
  CHECK(history(on_pitch, Channel::kValve) == "1403000=1 1423000=0 1553000=1 1573000=0");
  const Changes off_pitch = second_at(1'045'000);
  CHECK(history(off_pitch, Counter::kReversal) == "1047500=1");
  CHECK(history(off_pitch, Channel::kValve) == "");  // the first is on its way to the nozzle
}

TEST_CASE("cross-check: a sensor that stays high over sensor_high_um_max of travel is stuck") {
  Script script;
  script.started(with(Parameter::kSensorHighUmMax, 150'000)).belt(0, 2'000'000, 10'000);
  script.pulse(103'000, Channel::kContainerSensor, 249'999);
  CHECK(history(play(script, 2'000'000), Channel::kAlarm) == "");
  script.set(500'000, Channel::kContainerSensor, 1);  // 300 mm; 450 mm are reached at 750 000
  CHECK(history(play(script, 2'000'000), Channel::kAlarm) ==
        "750000=" + std::to_string(static_cast<int>(Fault::kSensorStuckHigh)));
  // Nobody knows what stands where: from then on the gate is out.
  CHECK(gate_history(play(script, 2'000'000)) == "750000=1");
}

TEST_CASE("cross-check: while the filler runs, a sensor low over sensor_low_um_max is stuck") {
  Script script;
  script.started(with(Parameter::kSensorLowUmMax, 300'000)).belt(0, 2'000'000, 10'000);
  script.container(103'000);
  CHECK(history(play(script, 2'000'000), Channel::kAlarm) == "");
  script.set(50'000, Channel::kFillerRunning, 1);
  // Low since 213 500 us (128.1 mm): 428.1 mm are reached at 713 500.
  CHECK(history(play(script, 2'000'000), Channel::kAlarm) ==
        "713500=" + std::to_string(static_cast<int>(Fault::kSensorStuckLow)));
  script.set(700'000, Channel::kFillerRunning, 0);
  CHECK(history(play(script, 2'000'000), Channel::kAlarm) == "");
}

TEST_CASE("cross-check: a container back at the sensor after a standstill: the belt went back") {
  // It has left the sensor by 1.8 mm when the line stops; hand-turned back, then on again. The
  // pulses count both ways forward.
  Script script;
  script.started(checked_recipe()).belt(0, 220'000, 10'000).container(103'000);
  script.set(222'000, Channel::kRunPermit, 0).set(1'000'000, Channel::kRunPermit, 1);
  script.belt(600'000, 640'000, 10'000);
  script.pulse(615'000, Channel::kContainerSensor, 500'000);
  script.belt(1'000'000, 3'000'000, 10'000);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Counter::kReversal) != "");
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Counter::kRejected) != "");
}

namespace {

/// The line loses its permit at 222 000 us, 132 mm on; so many pulses by hand from 600 000 us on;
/// it runs again from 1 000 000 us on, 6 mm a pulse.
Script turned_by_hand(const RecipeValues& recipe, int pulses) {
  Script script;
  script.started(recipe).belt(0, 220'000, 10'000);
  script.set(222'000, Channel::kRunPermit, 0).set(1'000'000, Channel::kRunPermit, 1);
  script.belt(600'000, 600'000 + 10'000 * pulses, 10'000);
  return script.belt(1'000'000, 6'000'000, 10'000);
}

}  // namespace

TEST_CASE("cross-check: a controller that comes up takes all that is on the line for bad") {
  Script script;
  script.started(checked_recipe()).belt(0, 1'000'000, 10'000);
  // At 0, so out for all to 60 + 33 + 20 + 6 mm further: half a container, what the gate stays out
  // behind its centre, a pulse.
  CHECK(history(play(script, 1'000'000), Channel::kReject) == "1000=1 198334=0");
}

TEST_CASE("cross-check: a pulse while the belt stands without its permit was made by hand") {
  Script script = turned_by_hand(checked_recipe(), 1);
  script.container(103'000);
  const Changes outputs = play(script, 6'000'000);
  CHECK(history(outputs, Counter::kReversal) == "610000=1");
  CHECK(history(outputs, Channel::kValve) == "");
  // At 138 mm, so 119 mm further.
  CHECK(gate_history(outputs).starts_with("610000=1 1198334=0"));
}

TEST_CASE(
    "cross-check: what comes by the sensor may have been there before, what follows has not") {
  // Three pulses by hand, 18 mm: at 150 mm, so up to 168 mm and a pulse it may be the same ones.
  const auto valve = [](std::int64_t edge_us) {
    Script script = turned_by_hand(checked_recipe(), 3);
    script.container(edge_us);
    return history(play(script, 6'000'000), Channel::kValve);
  };
  CHECK(valve(1'040'000) == "");  // 174 mm
  CHECK(valve(1'042'000) != "");
}

TEST_CASE("cross-check: turned by hand in two stops, what may come again adds up") {
  // 18 mm at 150 mm, then 6 mm at 168 mm: up to 132 + 2 * 18 + 2 * 6 = 180 mm, and a pulse.
  const auto outputs = [](std::int64_t edge_us) {
    Script script;
    script.started(checked_recipe()).belt(0, 220'000, 10'000);
    script.set(222'000, Channel::kRunPermit, 0).set(1'000'000, Channel::kRunPermit, 1);
    script.belt(600'000, 630'000, 10'000).belt(1'000'000, 1'020'000, 10'000);
    script.set(1'022'000, Channel::kRunPermit, 0).set(2'000'000, Channel::kRunPermit, 1);
    script.belt(1'600'000, 1'610'000, 10'000).belt(2'000'000, 6'000'000, 10'000);
    return play(script.container(edge_us), 6'000'000);
  };
  CHECK(history(outputs(2'030'000), Counter::kReversal) == "610000=1 1610000=2");
  CHECK(history(outputs(2'030'000), Channel::kValve) == "");
  CHECK(history(outputs(2'031'000), Channel::kValve) != "");
}

TEST_CASE("cross-check: a belt that coasts out without its permit is not moved by hand") {
  Script script;
  script.started(checked_recipe()).belt(0, 220'000, 10'000);
  script.set(222'000, Channel::kRunPermit, 0);
  // Slowed evenly over 60 mm from 600 mm/s: the last pulse has 2.41 times the period before it.
  for (int pulse = 1; pulse <= 10; ++pulse) {
    const double left = std::sqrt((10.0 - pulse) / 10.0);
    script.set(222'000 + static_cast<std::int64_t>(200'000 * (1.0 - left)), Channel::kLinePulse,
               pulse % 2);
  }
  CHECK(history(play(script, 1'000'000), Counter::kReversal) == "");
  script.set(1'000'001, Channel::kLinePulse, 1);
  CHECK(history(play(script, 2'000'000), Counter::kReversal) == "1000001=1");
}

TEST_CASE("cross-check: a permit that flickers leaves a running belt running") {
  Script script;
  script.started(checked_recipe()).belt(0, 1'000'000, 10'000).container(103'000);
  for (const std::int64_t at : {305'000, 325'000, 345'000}) {
    script.set(at, Channel::kRunPermit, 0).set(at + 10'000, Channel::kRunPermit, 1);
  }
  CHECK(history(play(script, 1'000'000), Counter::kReversal) == "");
}

TEST_CASE("cross-check: where pulses are not held against anything a hand is not seen") {
  const Script script = turned_by_hand(with(Parameter::kImplausibleRowMax, 0), 3);
  const Changes outputs = play(script, 6'000'000);
  CHECK(history(outputs, Counter::kReversal) == "");
  CHECK(gate_history(outputs) == "");
}

TEST_CASE("cross-check: without a gate there is nothing to hold out for what a hand has moved") {
  const Script script = turned_by_hand(with(Parameter::kSensorToGateUm, 0), 3);
  const Changes outputs = play(script, 6'000'000);
  CHECK(history(outputs, Counter::kReversal) == "610000=1");
  CHECK(gate_history(outputs) == "");
}

TEST_CASE("cross-check: a recipe without the check does not forget what a hand has moved") {
  Script script = turned_by_hand(checked_recipe(), 3);
  script.recipe(900'000, with(Parameter::kImplausibleRowMax, 0)).container(1'040'000);
  const Changes outputs = play(script, 6'000'000);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(gate_history(outputs).starts_with("610000=1 "));
}
