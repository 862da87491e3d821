#include "firmware_sim/core/supply_watch.hpp"

#include <doctest/doctest.h>

#include "tests/core/head_line.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// 10 kPa of head need 1.4 times the open time, 20 kPa the calibrated one, 40 kPa 0.7 times.
RecipeValues with_head_curve() {
  RecipeValues recipe = rotary_recipe();
  constexpr std::array<std::array<std::int32_t, 2>, 3> kPoints{
      {{10'000, 1'400'000}, {20'000, 1'000'000}, {40'000, 700'000}}};
  for (int i = 0; i < 3; ++i) {
    recipe.set_slot(slot(Parameter::kHeadCurvePa, i), kPoints[static_cast<unsigned>(i)][0]);
    recipe.set_slot(slot(Parameter::kHeadCurvePpm, i), kPoints[static_cast<unsigned>(i)][1]);
  }
  return recipe;
}

/// One container, due with 20 ms of open time at 623 000 us.
Script one_container(const RecipeValues& recipe) {
  Script script;
  return script.started(recipe).belt(0, 2'000'000, 10'000).container(103'000);
}

Changes at_head(const RecipeValues& recipe, std::int32_t pressure_pa, std::int32_t level_um) {
  Script script = one_container(recipe);
  script.set(500, Channel::kSupplyPressure, pressure_pa);
  return play(script.set(500, Channel::kSupplyLevel, level_um), 2'000'000);
}

std::string shot_at(std::int32_t pressure_pa, std::int32_t level_um = 0) {
  return history(at_head(with_head_curve(), pressure_pa, level_um), Channel::kValve);
}

}  // namespace

// 807 kg/m3 under 9.807 m/s2: figures of the normal boiling point, from memory; the planner's
// physics has them to five digits.
TEST_CASE("supply: a metre of liquid nitrogen weighs 7.9 kPa and counts as pressure of the head") {
  CHECK(shot_at(19'209, 100'000) == shot_at(20'000));  // 791 Pa
}

TEST_CASE("supply: a lower head keeps the valve open longer, a higher one shorter, same landing") {
  // 24 ms open need a lead of 37 ms instead of 35, 14 ms one of 32.
  CHECK(shot_at(20'000) == "623000=1 643000=0");
  CHECK(shot_at(15'000) == "621000=1 645000=0");
  CHECK(shot_at(40'000) == "626000=1 640000=0");
}

TEST_CASE("supply: at the ends of its curve the head is dosed, one pascal beyond it is refused") {
  CHECK(shot_at(10'000) == "619000=1 647000=0");
  for (const std::int32_t beyond : {9'999, 40'001, 0, -5}) {
    const Changes outputs = at_head(with_head_curve(), beyond, 0);
    CHECK(history(outputs, Channel::kValve) == "");
    CHECK(history(outputs, Counter::kHeadUnfit).size() > 0);
    CHECK(history(outputs, Counter::kRejected) == "1660000=1");
    CHECK(history(outputs, Channel::kAlarm) == "");
  }
}

TEST_CASE("supply: a head whose samples never arrive is not dosed") {
  const Changes outputs = play(one_container(with_head_curve()), 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Counter::kHeadUnfit) == "619000=1");
}

TEST_CASE("supply: a compensated open time beyond open_us_max is refused, not cut short") {
  const Changes outputs =
      at_head(with(with_head_curve(), Parameter::kOpenUsMax, 25'000), 10'000, 0);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Counter::kDoseOutOfRange) == "620500=1");
  const Changes short_shot =
      at_head(with(with_head_curve(), Parameter::kOpenUsMin, 15'000), 40'000, 0);
  CHECK(history(short_shot, Channel::kValve) == "");
  CHECK(history(short_shot, Counter::kDoseOutOfRange).size() > 0);
}

TEST_CASE("supply: a short excursion flags what is due in it, a lasting one is a fault") {
  const auto out_until = [](std::int64_t back_at_us) {
    Script script = one_container(with(with_head_curve(), Parameter::kHeadOutUsMax, 300'000));
    script.set(500, Channel::kSupplyPressure, 20'000);
    script.set(600'000, Channel::kSupplyPressure, 9'000);
    script.set(back_at_us, Channel::kSupplyPressure, 20'000);
    return play(script, 2'000'000);
  };
  const Changes brief = out_until(900'000);
  CHECK(history(brief, Channel::kAlarm) == "");
  CHECK(history(brief, Counter::kHeadUnfit) == "619000=1");
  const Changes lasting = out_until(900'001);
  CHECK(history(lasting, Channel::kAlarm) == alarm_at(900'000, Fault::kHeadOutOfRange));
  CHECK(history(lasting, Channel::kSupplyIsolation) == "2000=1 900000=0");
}

TEST_CASE("supply: outside production no head is out for too long") {
  Script script;
  script.started(with(with_head_curve(), Parameter::kHeadOutUsMax, 300'000));
  script.pulse(200'000, Channel::kOperatorStop, 1'000);
  script.pulse(900'000, Channel::kOperatorReset, 1'000);
  script.pulse(1'000'000, Channel::kOperatorStart, 1'000);
  CHECK(history(play(script, 2'000'000), Channel::kAlarm) ==
        alarm_at(1'300'000, Fault::kHeadOutOfRange));
}

TEST_CASE("supply: a sample of any value is safe to take") {
  SupplyWatch supply;
  SupplyLimits limits;
  const RecipeValues recipe = with_head_curve();
  limits.head_curve = Curve(recipe, Parameter::kHeadCurvePa, Parameter::kHeadCurvePpm);
  for (const std::int32_t extreme : {INT32_MIN, INT32_MAX}) {
    supply.settle({extreme, extreme, extreme}, limits);
    CHECK_FALSE(supply.gain().fit);
  }
}

TEST_CASE("room: too little oxygen shuts valve and supply in that microsecond, by its own name") {
  const auto oxygen = [](std::int32_t falls_to_ppm) {
    Script script = one_container(with(rotary_recipe(), Parameter::kRoomOxygenPpmMin, 195'000));
    script.set(500, Channel::kRoomOxygen, 209'000);
    return play(script.set(630'000, Channel::kRoomOxygen, falls_to_ppm), 1'000'000);
  };
  CHECK(history(oxygen(195'000), Channel::kAlarm) == "");
  const Changes low = oxygen(194'999);
  CHECK(history(low, Channel::kValve) == "623000=1 630000=0");
  CHECK(history(low, Channel::kSupplyIsolation) == "2000=1 630000=0");
  CHECK(history(low, Channel::kLinePermit) == "500=1 630000=0");
  CHECK(history(low, Channel::kAlarm) == alarm_at(630'000, Fault::kRoomOxygenLow));
  CHECK(history(low, Counter::kShotCut) == "630000=1");
}

TEST_CASE("room: while the sample is low, or has never come, reset leads nowhere") {
  const RecipeValues recipe = with(rotary_recipe(), Parameter::kRoomOxygenPpmMin, 195'000);
  Script never;
  never.started(recipe);
  CHECK(history(play(never, 1'000'000), Channel::kMode) == "");
  Script low;
  low.started(recipe).set(500, Channel::kRoomOxygen, 209'000);
  low.set(100'000, Channel::kRoomOxygen, 150'000);
  low.pulse(200'000, Channel::kOperatorReset, 1'000);
  low.set(300'000, Channel::kRoomOxygen, 195'000);
  low.pulse(400'000, Channel::kOperatorReset, 1'000);
  CHECK(history(play(low, 1'000'000), Channel::kMode) == "2000=1 3000=2 100000=4 400000=0");
}
