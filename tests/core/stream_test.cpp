#include "firmware_sim/core/stream_timer.hpp"

#include <doctest/doctest.h>

#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// The rotary line in a stream from 500 mm/s on. An opening 36 mm long passes in 60 000 us and
/// gets 200 mg at 3 333 333 ug/s. A container whose edge passes at t has its opening's front under
/// the nozzle at t + 525 000; the first liquid leads by flight and opening delay, 24 000 us; its
/// rear passes 60 000 us later, the last liquid leads by 26 000.
RecipeValues stream_recipe() {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kStreamEnterUmPerS, 500'000);
  recipe.set(Parameter::kStreamLeaveUmPerS, 450'000);
  recipe.set(Parameter::kStreamGapUs, 100'000);
  recipe.set(Parameter::kStreamUsMax, 10'000'000);
  recipe.set(Parameter::kStreamFlowUgPerS, 3'333'333);
  recipe.set(Parameter::kOpeningUm, 36'000);
  recipe.set(Parameter::kStreamDoseErrorMaxPpm, 100'000);
  return recipe;
}

RecipeValues with(Parameter parameter, std::int32_t value) {
  RecipeValues recipe = stream_recipe();
  recipe.set(parameter, value);
  return recipe;
}

Script running(const RecipeValues& recipe, std::initializer_list<std::int64_t> edges,
               std::int64_t until = 3'000'000) {
  Script script;
  script.started(recipe).belt(0, until, 10'000);
  for (const std::int64_t edge : edges) script.container(edge);
  return script;
}

}  // namespace

TEST_CASE("stream: one container alone gets the flow while its opening passes") {
  const Changes outputs = play(running(stream_recipe(), {103'000}), 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "604000=1 662000=0");
  CHECK(history(outputs, Counter::kStreamBegun) == "604000=1");
  CHECK(history(outputs, Counter::kRejected) == "");
}

TEST_CASE("stream: the valve stays open from container to container, one opening for all") {
  const Changes outputs =
      play(running(stream_recipe(), {103'000, 253'000, 403'000, 553'000}), 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "604000=1 1112000=0");
  CHECK(history(outputs, Counter::kStreamBegun) == "604000=1");
  CHECK(history(outputs, Counter::kRejected) == "");
}

TEST_CASE("stream: it closes behind a container when the next is not due within stream_gap_us") {
  // From the end of one to the beginning of the next are 92 000 us.
  const auto openings = [](std::int32_t gap_us) {
    return history(
        play(running(with(Parameter::kStreamGapUs, gap_us), {103'000, 253'000}), 3'000'000),
        Channel::kValve);
  };
  CHECK(openings(92'000) == "604000=1 812000=0");
  CHECK(openings(91'999) == "604000=1 662000=0 754000=1 812000=0");
}

TEST_CASE("stream: a missing container leaves a gap in which nothing flows") {
  const Changes outputs = play(running(stream_recipe(), {103'000, 403'000}), 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "604000=1 662000=0 904000=1 962000=0");
  CHECK(history(outputs, Counter::kStreamBegun) == "604000=1 904000=2");
}

TEST_CASE("stream: below the entry speed every container has its own shot") {
  const Changes outputs =
      play(running(with(Parameter::kStreamEnterUmPerS, 600'001), {103'000}), 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0");
  CHECK(history(outputs, Counter::kStreamBegun) == "");
}

TEST_CASE("stream: between leaving and entering speed the line stays in what it was") {
  // 600 mm/s, or 400, then 480 mm/s from 300 000 us on.
  const auto begun = [](std::int64_t period_us) {
    Script script;
    RecipeValues recipe = with(Parameter::kStreamDoseErrorMaxPpm, 1'000'000);
    recipe.set(Parameter::kWaitErrorMaxUs, 10'000'000);
    script.started(recipe).belt(0, 300'000, period_us).belt(300'000, 3'000'000, 12'500);
    script.container(403'000);
    return history(play(script, 3'000'000), Counter::kStreamBegun);
  };
  CHECK(begun(10'000) != "");
  CHECK(begun(15'000) == "");
}

TEST_CASE("stream: a dose out of range is not begun with; the container is counted and rejected") {
  const auto flow = [](std::int32_t ug_per_s) {
    return play(running(with(Parameter::kStreamFlowUgPerS, ug_per_s), {103'000}), 3'000'000);
  };
  CHECK(history(flow(3'666'666), Counter::kStreamDoseWrong) == "");
  CHECK(history(flow(3'000'000), Counter::kStreamDoseWrong) == "");
  CHECK(history(flow(2'999'983), Counter::kStreamDoseWrong) == "604000=1");
  const Changes much = flow(3'666'700);
  CHECK(history(much, Counter::kStreamDoseWrong) == "604000=1");
  CHECK(history(much, Channel::kValve) == "");
  CHECK(history(much, Counter::kRejected) == "1660000=1");
  CHECK(history(flow(100'000'000), Counter::kStreamDoseWrong) == "604000=1");
}

TEST_CASE(
    "stream: the permit lost closes it in the same microsecond, the one under the nozzle is cut") {
  Script script = running(stream_recipe(), {103'000, 253'000, 403'000});
  // The first has had its 60 000 us; the second's are from 754 000 to 812 000.
  script.set(780'000, Channel::kRunPermit, 0);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "604000=1 780000=0");
  CHECK(history(outputs, Counter::kShotCut) == "780000=1");
  // The third is due while the line is without its permit.
  CHECK(history(outputs, Counter::kRejected) == "1810000=1 1960000=2");
}

TEST_CASE("stream: closed between two containers it has cut nothing") {
  Script script = running(stream_recipe(), {103'000, 253'000});
  script.set(700'000, Channel::kRunPermit, 0);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "604000=1 700000=0");
  CHECK(history(outputs, Counter::kShotCut) == "");
  CHECK(history(outputs, Counter::kRejected) == "1810000=1");
}

TEST_CASE("stream: a belt that stalls unannounced closes it, and nobody knows who got what") {
  Script script = running(stream_recipe(), {103'000, 253'000}, 630'000);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "604000=1 762000=0");
  CHECK(history(outputs, Counter::kShotCut) == "762000=1");
}

TEST_CASE("stream: of a belt that stalls less than a wide window is known than a pulse tells") {
  // A pulse is 6 mm; the belt would have gone 73 mm on when the valve shuts.
  Script script = running(with(Parameter::kLandingLateMaxUm, 50'000), {103'000, 253'000}, 630'000);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "604000=1 762000=0");
  CHECK(history(outputs, Counter::kShotCut) == "762000=1");
}

TEST_CASE(
    "stream: it makes a break between two containers before its limit, and the guard sees none") {
  RecipeValues recipe = with(Parameter::kStreamUsMax, 500'000);
  Script script;
  script.started(recipe).belt(0, 5'000'000, 10'000);
  for (int i = 0; i < 12; ++i) script.container(103'000 + 150'000 * i);
  const Changes outputs = play(script, 5'000'000);
  CHECK(history(outputs, Channel::kAlarm) == "");
  CHECK(history(outputs, Counter::kRejected) == "");
  CHECK(history(outputs, Channel::kValve).starts_with("604000=1 962000=0 1054000=1 1412000=0"));
}

TEST_CASE("stream: a container that would not have passed by its limit is refused") {
  const auto limit = [](std::int32_t us) {
    return play(running(with(Parameter::kStreamUsMax, us), {103'000}), 3'000'000);
  };
  CHECK(history(limit(58'000), Channel::kValve) == "604000=1 662000=0");
  const Changes refused = limit(57'999);
  CHECK(history(refused, Channel::kValve) == "");
  CHECK(history(refused, Counter::kStreamDoseWrong) == "604000=1");
  CHECK(history(refused, Counter::kRejected) == "1660000=1");
  CHECK(history(refused, Channel::kAlarm) == "");
}

TEST_CASE(
    "stream: one so close behind that the stream cannot break before it is refused, not cut") {
  // An opening of 84 mm: from 564 000 to 702 000, and the next from 664 000 to 802 000.
  RecipeValues recipe = with(Parameter::kOpeningUm, 84'000);
  recipe.set(Parameter::kStreamFlowUgPerS, 1'428'571);
  recipe.set(Parameter::kStreamUsMax, 200'000);
  Script script;
  script.started(recipe).belt(0, 3'000'000, 10'000);
  script.pulse(103'500, Channel::kContainerSensor, 80'000);
  script.pulse(203'500, Channel::kContainerSensor, 80'000);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "564000=1 702000=0");
  CHECK(history(outputs, Counter::kStreamDoseWrong) == "664000=1");
  CHECK(history(outputs, Counter::kShotCut) == "");
  CHECK(history(outputs, Counter::kRejected) == "1760000=1");
}

TEST_CASE("stream: a belt that slows under it is cut at the limit, before the guard has to") {
  Script script;
  script.started(with(Parameter::kStreamUsMax, 70'000)).belt(0, 620'000, 10'000);
  script.belt(620'000, 5'000'000, 13'000).container(103'000);
  const Changes outputs = play(script, 5'000'000);
  CHECK(history(outputs, Channel::kValve) == "604000=1 674000=0");
  CHECK(history(outputs, Counter::kShotCut) == "674000=1");
  CHECK(history(outputs, Channel::kAlarm) == "");
}

TEST_CASE(
    "stream: a belt that changes speed under it gives another dose, which is told and rejected") {
  // Its opening is under the stream from 628 000 on; the pulse at 650 000 is the first to differ.
  const auto wrong = [](std::int64_t period_us) {
    Script script;
    script.started(stream_recipe()).belt(0, 640'000, 10'000);
    script.belt(640'000, 5'000'000, period_us).container(103'000);
    return play(script, 5'000'000);
  };
  CHECK(history(wrong(10'900), Counter::kStreamDoseWrong) == "");
  CHECK(history(wrong(11'200), Counter::kStreamDoseWrong) == "651200=1");
  CHECK(history(wrong(8'900), Counter::kStreamDoseWrong) == "648900=1");
  CHECK(history(wrong(8'900), Counter::kRejected) != "");
}

TEST_CASE("stream: a dose for less than the expected wait is counted") {
  RecipeValues recipe = with(Parameter::kSpeedMaxUmPerS, 1'200'000);
  recipe.set(Parameter::kWaitSource, static_cast<std::int32_t>(WaitSource::kFixed));
  recipe.set(Parameter::kWaitFixedUs, 10'000'000);
  const Changes outputs = play(running(recipe, {103'000}), 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "604000=1 662000=0");
  CHECK(history(outputs, Counter::kWaitCapped) == "604000=1");
}

TEST_CASE("stream: a head outside its curve begins none") {
  const auto at_pressure = [](std::int32_t pa) {
    RecipeValues recipe = with(Parameter::kHeadCurvePa, 1'000);
    recipe.set_slot(slot(Parameter::kHeadCurvePa, 1), 2'000);
    recipe.set_slot(slot(Parameter::kHeadCurvePpm, 0), 1'000'000);
    recipe.set_slot(slot(Parameter::kHeadCurvePpm, 1), 1'000'000);
    return play(running(recipe, {103'000}).set(4'000, Channel::kSupplyPressure, pa), 3'000'000);
  };
  CHECK(history(at_pressure(1'500), Channel::kValve) == "604000=1 662000=0");
  const Changes unfit = at_pressure(2'001);
  CHECK(history(unfit, Channel::kValve) == "");
  CHECK(history(unfit, Counter::kHeadUnfit) == "604000=1");
}

TEST_CASE("stream: an implausible container gets nothing where it stands alone") {
  Script script = running(stream_recipe(), {103'000, 403'000});
  script.pulse(253'500, Channel::kContainerSensor, 40'000);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "604000=1 662000=0 904000=1 962000=0");
  CHECK(history(outputs, Counter::kRejected) == "1810000=1");
}

TEST_CASE("stream: without pulses it follows the fixed delay") {
  RecipeValues recipe = with(Parameter::kLinePulsePitchUm, 0);
  recipe.set(Parameter::kLineSpeedUmPerS, 600'000);
  Script script;
  script.started(recipe).container(103'000).container(253'000);
  CHECK(history(play(script, 3'000'000), Channel::kValve) == "604000=1 812000=0");
}

TEST_CASE("stream: after a break the valve rests, and opens for the next one as late as it may") {
  // Closed at 662 000; the next is due at 754 000, and 5 mm are 8 333 us.
  const auto outputs = [](std::int32_t rest_us) {
    RecipeValues recipe = with(Parameter::kStreamGapUs, 0);
    recipe.set(Parameter::kRestUsMin, rest_us);
    recipe.set(Parameter::kLandingLateMaxUm, 5'000);
    return play(running(recipe, {103'000, 253'000}), 3'000'000);
  };
  CHECK(history(outputs(95'000), Channel::kValve) == "604000=1 662000=0 757000=1 812000=0");
  CHECK(history(outputs(95'000), Counter::kRestTooShort) == "");
  CHECK(history(outputs(101'000), Channel::kValve) == "604000=1 662000=0");
  CHECK(history(outputs(101'000), Counter::kRestTooShort) == "754000=1");
}

TEST_CASE("stream: a belt below the working speed gets none") {
  const Changes outputs =
      play(running(with(Parameter::kSpeedMinUmPerS, 600'001), {103'000}), 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Counter::kTooSlow) == "604000=1");
  CHECK(history(outputs, Counter::kRejected) == "1660000=1");
}

TEST_CASE("stream: a pulse that comes before it was expected brings the opening forward") {
  // Due at 609 500; the belt is 8 % faster by the pulse at 609 200, and by then the front has 14.1
  // mm to go, 21 620 us: the lead of 24 000 is gone. No single shot would be so near: 35 000 us.
  Script script;
  script.started(with(Parameter::kOpenUsMax, 20'000)).belt(0, 600'000, 10'000).container(108'500);
  script.belt(599'200, 3'000'000, 10'000);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Channel::kValve).starts_with("609200=1 "));
}

TEST_CASE("stream: a belt that stands is in none, whatever the speed at which it is left") {
  RecipeValues recipe = with(Parameter::kLinePulsePitchUm, 0);
  recipe.set(Parameter::kLineSpeedUmPerS, 600'000);
  recipe.set(Parameter::kStreamLeaveUmPerS, 0);
  CHECK(Recipe(recipe).stream_leave == Speed{1});
  // The level is believed when its can is under the nozzle of a belt that has stopped meanwhile.
  recipe.set(Parameter::kSensorToNozzleUm, 1'000);
  recipe.set(Parameter::kDebounceUs, 40'000);
  Script script;
  script.started(recipe).container(103'000).set(140'000, Channel::kRunPermit, 0);
  script.set(2'000'000, Channel::kRunPermit, 1).container(2'203'000);
  const Changes outputs = play(script, 6'000'000);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Channel::kAlarm) == "");
}

TEST_CASE("stream: the entry speed itself is fast enough") {
  const auto valve = [](std::int32_t um_per_s) {
    const RecipeValues recipe = with(Parameter::kStreamEnterUmPerS, um_per_s);
    return history(play(running(recipe, {103'000}), 3'000'000), Channel::kValve);
  };
  CHECK(valve(600'000) == "604000=1 662000=0");
  CHECK(valve(600'001) == "623000=1 643000=0");  // a shot
}

TEST_CASE("stream: a belt that runs before it has a recipe is in it from the first container on") {
  RecipeValues recipe = with(Parameter::kLinePulsePitchUm, 0);
  recipe.set(Parameter::kLineSpeedUmPerS, 600'000);
  Script script;
  script.set(500, Channel::kRunPermit, 1).started(recipe).container(103'000);
  CHECK(history(play(script, 3'000'000), Counter::kStreamBegun) == "604000=1");
}
