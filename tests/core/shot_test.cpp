#include <doctest/doctest.h>

#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// The rotary line at 600 mm/s until `until_us` with one container, due to open at 623 000 us.
Script one_container(const RecipeValues& recipe, std::int64_t until_us = 1'000'000) {
  Script script;
  script.started(recipe).belt(0, until_us, 10'000).container(103'000);
  return script;
}

RecipeValues with(Parameter parameter, std::int32_t value) {
  RecipeValues recipe = rotary_recipe();
  recipe.set(parameter, value);
  return recipe;
}

}  // namespace

TEST_CASE("shot: a longer flight opens the valve as much earlier") {
  const auto opens = [](std::int32_t flight_us) {
    const Script script = one_container(with(Parameter::kFlightUs, flight_us));
    return history(play(script, 1'000'000), Channel::kValve);
  };
  CHECK(opens(20'000) == "623000=1 643000=0");
  CHECK(opens(0) == "643000=1 663000=0");
  CHECK(opens(120'000) == "523000=1 543000=0");
}

TEST_CASE("shot: the valve's delays shift the command by half their sum") {
  const auto opens = [](std::int32_t open_us, std::int32_t close_us) {
    RecipeValues recipe = with(Parameter::kValveOpenDelayUs, open_us);
    recipe.set(Parameter::kValveCloseDelayUs, close_us);
    return history(play(one_container(recipe), 1'000'000), Channel::kValve);
  };
  CHECK(opens(0, 0) == "628000=1 648000=0");
  CHECK(opens(20'000, 0) == "618000=1 638000=0");
  CHECK(opens(0, 40'000) == "608000=1 628000=0");
}

TEST_CASE("shot: a permit lost in the microsecond of an opening prevents it") {
  Script script = one_container(rotary_recipe());
  script.set(623'000, Channel::kRunPermit, 0);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Counter::kNotRunning) == "623000=1");
}

TEST_CASE("shot: a permit lost one microsecond after the opening cuts the shot in that instant") {
  Script script = one_container(rotary_recipe());
  script.set(623'001, Channel::kRunPermit, 0);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "623000=1 623001=0");
  CHECK(history(outputs, Counter::kShotCut) == "623001=1");
  CHECK(history(outputs, Channel::kAlarm) == "");
}

TEST_CASE("shot: a permit lost in the microsecond of the closing cuts nothing") {
  Script script = one_container(rotary_recipe());
  script.set(643'000, Channel::kRunPermit, 0);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0");
  CHECK(history(outputs, Counter::kShotCut) == "");
}

TEST_CASE("shot: a container due before the start button gets nothing and goes to the gate") {
  Script script;
  script.recipe(1'000, rotary_recipe()).belt(0, 3'000'000, 10'000).container(103'000);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Counter::kNotRunning) == "623000=1");
  CHECK(gate_history(outputs) == "2624667=1 2691335=0");
}

TEST_CASE("shot: one believed too late still goes in if it lands inside the window") {
  // Believed 100 500 us after the edge. With the nozzle at 43.3 mm the shot was due after 92 167:
  // 8 333 us late are 4 999.8 um. One micrometre nearer it would be 5 001 um.
  const auto nozzle_at = [](std::int32_t um) {
    RecipeValues recipe = with(Parameter::kSensorToNozzleUm, um);
    recipe.set(Parameter::kDebounceUs, 100'000);
    Script script;
    script.started(recipe).belt(0, 1'000'000, 10'000).container(100'000);
    return play(script, 1'000'000);
  };
  const Changes late = nozzle_at(43'300);
  CHECK(history(late, Channel::kValve) == "200500=1 220500=0");
  CHECK(history(late, Counter::kTooLate) == "");
  const Changes too_late = nozzle_at(43'299);
  CHECK(history(too_late, Channel::kValve) == "");
  CHECK(history(too_late, Counter::kTooLate) == "200500=1");
}

TEST_CASE("shot: at the lowest speed a container is dosed, just below it is too slow") {
  const auto at_period = [](std::int64_t period_us) {
    RecipeValues recipe = with(Parameter::kSensorToNozzleUm, 30'000);
    Script script;
    script.started(recipe).belt(0, 4'000'000, period_us);
    script.pulse(600'500, Channel::kContainerSensor, 1'200'000);
    return play(script, 4'000'000);
  };
  const Changes slow_enough = at_period(120'000);  // 50 000 um/s
  CHECK(history(slow_enough, Counter::kTooSlow) == "");
  CHECK(history(slow_enough, Channel::kValve) == "1825000=1 1845000=0");
  const Changes too_slow = at_period(120'001);
  CHECK(history(too_slow, Counter::kTooSlow).size() > 0);
  CHECK(history(too_slow, Channel::kValve) == "");
}

TEST_CASE("shot: a mass outside the valve's calibration is not fired and is counted when due") {
  const Changes outputs = play(one_container(with(Parameter::kDoseUg, 50'000)), 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Counter::kDoseOutOfRange) == "628000=1");
}

TEST_CASE("shot: a shot as long as open_us_max is fired and the guard lets it end by itself") {
  const Changes outputs = play(one_container(with(Parameter::kOpenUsMax, 20'000)), 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0");
  CHECK(history(outputs, Channel::kAlarm) == "");
}

TEST_CASE("shot: the valve rests; a shot due meanwhile waits if it still lands inside the window") {
  const auto second_after = [](std::int64_t us) {
    RecipeValues recipe = with(Parameter::kPitchMinUm, 0);
    recipe.set(Parameter::kContainerWidthMinUm, 0);
    Script script;
    script.started(recipe).belt(0, 1'000'000, 10'000);
    script.pulse(103'500, Channel::kContainerSensor, 8'000);
    script.pulse(103'500 + us, Channel::kContainerSensor, 8'000);
    return play(script, 1'000'000);
  };
  // Rested 20 000 + 2 000 us after the first opening.
  CHECK(history(second_after(22'000), Channel::kValve) == "623000=1 643000=0 645000=1 665000=0");
  CHECK(history(second_after(22'005), Channel::kValve) == "623000=1 643000=0 645005=1 665005=0");
  CHECK(history(second_after(21'000), Channel::kValve) == "623000=1 643000=0 645000=1 665000=0");
  // 5 mm are 8 333 us.
  const Changes waits = second_after(22'000 - 8'330);
  CHECK(history(waits, Channel::kValve) == "623000=1 643000=0 645000=1 665000=0");
  CHECK(history(waits, Counter::kRestTooShort) == "");
  const Changes refused = second_after(22'000 - 8'335);
  CHECK(history(refused, Channel::kValve) == "623000=1 643000=0");
  CHECK(history(refused, Counter::kRestTooShort) == "636665=1");
}

TEST_CASE("shot: a container waiting through a stop is dosed once, when it gets there") {
  // Due at belt position 373.8 mm. The line stops at 360 mm; after the stop one pulse tells
  // nothing of the speed (366 mm), the next does (372 mm), and 1.8 mm later it is due.
  Script script = one_container(rotary_recipe(), 600'000);
  script.set(600'000, Channel::kRunPermit, 0).set(4'990'000, Channel::kRunPermit, 1);
  script.belt(5'000'000, 6'000'000, 10'000);
  CHECK(history(play(script, 6'000'000), Channel::kValve) == "5023000=1 5043000=0");
}

TEST_CASE("shot: a container that came due while the line coasted is never dosed after the stop") {
  Script script = one_container(rotary_recipe(), 650'000);
  script.set(610'000, Channel::kRunPermit, 0).set(4'990'000, Channel::kRunPermit, 1);
  script.belt(5'000'000, 7'000'000, 10'000);
  const Changes outputs = play(script, 7'000'000);
  CHECK(history(outputs, Counter::kNotRunning) == "623000=1");
  CHECK(history(outputs, Channel::kValve) == "");
}

TEST_CASE(
    "shot: no pulse, no shot: a belt that stalls unannounced is not dosed from its schedule") {
  // Due at 373.8 mm, 3 000 us after a pulse that does not come. The belt goes on ten seconds later:
  // the first pulse (372 mm) tells a speed of nearly 0, the next (378 mm) that it is 4.2 mm late.
  Script script = one_container(rotary_recipe(), 610'000);
  script.belt(10'000'000, 11'000'000, 10'000);
  CHECK(history(play(script, 11'000'000), Channel::kValve) == "10020000=1 10040000=0");
}

TEST_CASE("shot: a belt that speeds up is planned anew at every pulse") {
  // From 500 000 us (300 mm) twice as fast: 1.2 um/us. The centre is due under the nozzle at
  // 394.8 mm = 579 000 us.
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kWaitSource, static_cast<int>(WaitSource::kFixed));
  Script script = one_container(recipe, 500'000);
  script.belt(500'000, 1'000'000, 5'000);
  CHECK(history(play(script, 1'000'000), Channel::kValve) == "544000=1 564000=0");
}

TEST_CASE("shot: a line without pulses doses by a fixed delay, and a stop holds it") {
  RecipeValues recipe = with(Parameter::kLinePulsePitchUm, 0);
  recipe.set(Parameter::kLineSpeedUmPerS, 600'000);
  Script script;
  script.started(recipe).container(103'000);
  CHECK(history(play(script, 1'000'000), Channel::kValve) == "623000=1 643000=0");
  script.set(300'000, Channel::kRunPermit, 0).set(400'000, Channel::kRunPermit, 1);
  CHECK(history(play(script, 1'000'000), Channel::kValve) == "723000=1 743000=0");
}

TEST_CASE("shot: without pulses a container that stood under the nozzle is never dosed later") {
  // Its leading edge reaches the nozzle at 603 000 us.
  RecipeValues recipe = with(Parameter::kLinePulsePitchUm, 0);
  recipe.set(Parameter::kLineSpeedUmPerS, 600'000);
  const auto stopped_at = [&](std::int64_t us) {
    Script script;
    script.started(recipe).container(103'000);
    script.set(us, Channel::kRunPermit, 0).set(900'000, Channel::kRunPermit, 1);
    return play(script, 2'000'000);
  };
  CHECK(history(stopped_at(602'995), Channel::kValve) == "920005=1 940005=0");
  CHECK(history(stopped_at(603'000), Channel::kValve) == "");
  CHECK(history(stopped_at(603'000), Counter::kNotRunning) == "603000=1");
}

TEST_CASE("shot: before two pulses have been seen a container is too slow to dose") {
  RecipeValues recipe = with(Parameter::kSensorToNozzleUm, 1'000);
  recipe.set(Parameter::kLinePulsePitchUm, 1'000'000);
  recipe.set(Parameter::kSpeedMinUmPerS, 0);
  recipe.set(Parameter::kContainerWidthMinUm, 0);
  Script script;
  script.started(recipe).pulse(100'000, Channel::kContainerSensor, 100'000);
  script.set(300'000, Channel::kLinePulse, 1);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Counter::kTooSlow) == "300000=1");
}

TEST_CASE("shot: without a rest the valve still shuts for a microsecond between two shots") {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kRestUsMin, 0);
  recipe.set(Parameter::kOpenUsMax, 20'000);
  recipe.set(Parameter::kPitchMinUm, 0);
  recipe.set(Parameter::kContainerWidthMinUm, 0);
  Script script;
  script.started(recipe).belt(0, 1'000'000, 10'000);
  script.pulse(103'500, Channel::kContainerSensor, 5'000);
  script.pulse(123'500, Channel::kContainerSensor, 5'000);  // 12 mm behind: due as the first ends
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0 643001=1 663001=0");
  CHECK(history(outputs, Channel::kAlarm) == "");
}

TEST_CASE(
    "shot: while a pulse is overdue nothing is fired, however near the container was thought") {
  // Edge to nozzle 20 mm. At 600 mm/s it would have been due at 108 000, and the edge shows at
  // 115 000; but the pulse of 110 000 has not come: the belt slows, to 200 mm/s as it turns out.
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kSensorToNozzleUm, 1'000);
  recipe.set(Parameter::kEdgeToCentreUm, 19'000);
  recipe.set(Parameter::kSensorLatencyUs, 0);
  recipe.set(Parameter::kDebounceUs, 0);
  Script script;
  script.started(recipe).belt(0, 100'000, 10'000).belt(100'000, 1'000'000, 30'000);
  script.pulse(115'000, Channel::kContainerSensor, 300'000);
  // 85.999 mm are reached 19 999 / 0.2 us after the pulse of 130 000; a lead of 35 000 earlier.
  CHECK(history(play(script, 400'000), Channel::kValve) == "194995=1 214995=0");
}

TEST_CASE("shot: a container seen as the line is taken to be cleared gets no older one's time") {
  // Edge to shot 203 ms. The first container is due at 305 000; too many group signals abort; the
  // reset that clears the line comes as the second one's edge is believed.
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kSensorToNozzleUm, 109'800);
  recipe.set(Parameter::kPlaceSource, static_cast<int>(PlaceSource::kContainersAhead));
  Script script;
  script.started(recipe).belt(0, 1'000'000, 10'000).container(102'000).container(300'000);
  for (int i = 0; i < 65; ++i) script.pulse(220'000 + i * 1'000, Channel::kGroupStart, 500);
  script.pulse(302'500, Channel::kOperatorReset, 500).pulse(310'000, Channel::kOperatorReset, 500);
  script.pulse(320'000, Channel::kOperatorStart, 500);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kAlarm) == "284000=8 302500=0");
  CHECK(history(outputs, Counter::kNotRunning) == "");
  CHECK(history(outputs, Channel::kValve) == "503000=1 523000=0");
}

TEST_CASE("shot: one cut after its container was seamed is still counted") {
  // The seam lies 1 mm past the nozzle; without flight and delays half the shot follows the centre.
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kNozzleToSeamUm, 1'000);
  for (const Parameter none :
       {Parameter::kFlightUs, Parameter::kValveOpenDelayUs, Parameter::kValveCloseDelayUs}) {
    recipe.set(none, 0);
  }
  Script script;
  script.started(recipe).belt(0, 1'000'000, 10'000).container(103'000);
  script.set(663'000, Channel::kRunPermit, 0);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "648000=1 663000=0");
  CHECK(history(outputs, Counter::kShotCut) == "663000=1");
}

TEST_CASE("shot: an unsteady one whose container is seamed as it opens is still counted") {
  // Seam 2 mm behind the sensor: by the time the edge is believed the container has passed it.
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kSensorToNozzleUm, 1'000);
  recipe.set(Parameter::kNozzleToSeamUm, 1'000);
  recipe.set(Parameter::kEdgeToCentreUm, 0);
  recipe.set(Parameter::kDebounceUs, 4'000);
  recipe.set(Parameter::kLandingLateMaxUm, 50'000);
  recipe.set(Parameter::kIdleUsMax, 1);
  recipe.set(Parameter::kUnsteadyCount, 1);
  Script script;
  script.started(recipe).belt(0, 1'000'000, 10'000).container(103'000);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "107500=1 127500=0");
  CHECK(history(outputs, Counter::kDoseUnsteady) == "107500=1");
}

TEST_CASE("shot: a dose for less than the expected wait is counted") {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kSpeedMaxUmPerS, 1'200'000);
  recipe.set(Parameter::kWaitSource, static_cast<std::int32_t>(WaitSource::kFixed));
  recipe.set(Parameter::kWaitFixedUs, 10'000'000);
  Script script;
  script.started(recipe).belt(0, 3'000'000, 10'000).container(103'000);
  CHECK(history(play(script, 3'000'000), Counter::kWaitCapped) == "623000=1");
}
