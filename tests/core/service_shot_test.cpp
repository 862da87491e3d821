#include "firmware_sim/core/service_shots.hpp"

#include <doctest/doctest.h>

#include "firmware_sim/core/guard.hpp"
#include "tests/core/head_line.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// Started, and cooling down from 3 000 us on for as long as the test lasts.
RecipeValues cooling(std::int32_t open_us, std::int32_t period_us) {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kCoolDownUsMax, 100'000'000);
  recipe.set(Parameter::kBodyTemperatureMkMax, 90'000);
  recipe.set(Parameter::kCoolDownOpenUs, open_us);
  recipe.set(Parameter::kCoolDownPeriodUs, period_us);
  return recipe;
}

RecipeValues testing() {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kTestOpenUs, 30'000);
  recipe.set(Parameter::kTestPeriodUs, 100'000);
  return recipe;
}

/// Started without its run permit: Suspended.
Script suspended(const RecipeValues& recipe) {
  Script script;
  script.started(recipe);
  return script.set(4'000, Channel::kRunPermit, 0);
}

constexpr Interlocks kClear{.run_permit = false,
                            .safety_chain = true,
                            .supply_ready = true,
                            .link_alive = true,
                            .valve_feedback = false,
                            .room_oxygen = true,
                            .nozzle_clear = true};
constexpr GuardLimits kLimits{.open_min = 5_ms,
                              .open_max = 20_ms,
                              .feedback_max = 0_us,
                              .cool_down_open = 50_ms,
                              .test_open = 30_ms};

}  // namespace

// The container's centre is under the nozzle at 658 000 us. Its leading edge is 33 mm ahead, 100 mm
// are kept clear, and a shot of 50 ms needs 112 ms until it has landed and the valve has rested: at
// 0.6 um/us that is 200.2 mm, or 333 667 us. Behind it 133.001 mm are 221 669 us.
TEST_CASE("service: no cool-down shot while a container is due or under the nozzle") {
  Script script;
  script.started(cooling(50'000, 100'000)).belt(0, 1'000'000, 10'000).container(103'000);
  CHECK(history(play(script, 950'000), Channel::kValve) ==
        "3000=1 53000=0 103000=1 153000=0 203000=1 253000=0 303000=1 353000=0 879669=1 929669=0");
}

TEST_CASE("service: a shot due just before the container comes too near is fired, just after not") {
  const auto shots = [](std::int32_t period_us) {
    Script script;
    script.started(cooling(50'000, period_us)).belt(0, 1'000'000, 10'000).container(103'000);
    return history(play(script, 600'000), Channel::kValve);
  };
  CHECK(shots(321'333) == "3000=1 53000=0 324333=1 374333=0");
  CHECK(shots(321'334) == "3000=1 53000=0");
}

TEST_CASE("service: a container that shows up during a long shot cuts it in that microsecond") {
  Script script;
  script.started(cooling(400'000, 1'000'000)).belt(0, 1'000'000, 10'000).container(103'000);
  CHECK(history(play(script, 800'000), Channel::kValve) == "3000=1 103500=0");
}

TEST_CASE("service: what stands in front of a sensor beside the nozzle keeps the valve shut") {
  const auto shots = [](std::int32_t sensor_to_nozzle_um) {
    RecipeValues recipe = cooling(50'000, 100'000);
    recipe.set(Parameter::kSensorToNozzleUm, sensor_to_nozzle_um);
    recipe.set(Parameter::kDebounceUs, 200'000);
    Script script;
    script.started(recipe).set(2'500, Channel::kContainerSensor, 1);
    return history(play(script, 60'000), Channel::kValve);
  };
  CHECK(shots(100'000) == "");
  CHECK(shots(100'001) == "3000=1 53000=0");
}

TEST_CASE("service: the valve shuts between two shots, however short their period") {
  Script script;
  script.started(cooling(50'000, 1'000));
  CHECK(history(play(script, 150'000), Channel::kValve) ==
        "3000=1 53000=0 55000=1 105000=0 107000=1");
  RecipeValues no_rest = cooling(50'000, 1'000);
  no_rest.set(Parameter::kRestUsMin, 0);
  Script restless;
  restless.started(no_rest);
  const Changes outputs = play(restless, 110'000);
  CHECK(history(outputs, Channel::kValve) == "3000=1 53000=0 53001=1 103001=0 103002=1");
  CHECK(history(outputs, Channel::kAlarm) == "");
}

TEST_CASE("service: the operator gets the test shots asked for, while the line stands") {
  Script script = suspended(testing());
  script.set(50'000, Channel::kOperatorTestShots, 3).set(60'000, Channel::kOperatorTestShots, 0);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "50000=1 80000=0 150000=1 180000=0 250000=1 280000=0");
  CHECK(history(outputs, Counter::kTestShot) == "80000=1 180000=2 280000=3");
  CHECK(history(outputs, Channel::kAlarm) == "");
}

TEST_CASE("service: test shots are given in Idle too, where the head needs no start") {
  const auto in_idle = [](const RecipeValues& recipe) {
    Script script;
    for (const Channel wire : {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kLinkAlive}) {
      script.set(1'000, wire, 1);
    }
    script.recipe(1'000, recipe).pulse(2'000, Channel::kOperatorReset, 500);
    script.set(50'000, Channel::kOperatorTestShots, 1);
    return play(script, 1'000'000);
  };
  CHECK(history(in_idle(testing()), Channel::kValve) == "50000=1 80000=0");
  const Changes warm = in_idle(with(testing(), Parameter::kCoolDownUsMax, 1'000'000));
  CHECK(history(warm, Channel::kValve) == "");
  CHECK(history(warm, Counter::kTestShotRefused) == "50000=1");
}

TEST_CASE("service: test shots are refused while running, without an open time and beyond 1 000") {
  const auto refused = [](const RecipeValues& recipe, bool running, std::int32_t count) {
    Script script;
    script.started(recipe);
    if (!running) script.set(4'000, Channel::kRunPermit, 0);
    script.set(50'000, Channel::kOperatorTestShots, count);
    const Changes outputs = play(script, 120'000);
    const bool none = history(outputs, Channel::kValve).empty();
    CHECK(none == (history(outputs, Counter::kTestShotRefused) == "50000=1"));
    return none;
  };
  CHECK_FALSE(refused(testing(), false, 1'000));
  CHECK(refused(testing(), false, 1'001));
  CHECK(refused(testing(), false, -1));
  CHECK(refused(testing(), true, 1));
  CHECK(refused(rotary_recipe(), false, 1));
}

TEST_CASE("service: test shots asked for under one recipe are not given under the next") {
  // The first is given from 5 000 us on, the next recipe taken at 50 000, its open time this long.
  const auto next = [](std::int32_t open_us) {
    RecipeValues recipe = testing();
    Script script;
    script.set(1'000, Channel::kSafetyChain, 1).set(1'000, Channel::kLinkAlive, 1);
    script.set(1'000, Channel::kSupplyReady, 1).recipe(1'000, recipe);
    script.pulse(2'000, Channel::kOperatorReset, 500);
    script.set(5'000, Channel::kOperatorTestShots, 3);
    recipe.set(Parameter::kTestOpenUs, open_us);
    const Channel slot_of = recipe_channel(slot(Parameter::kTestOpenUs));
    script.set(50'000, slot_of, open_us);
    return play(script.set(50'000, Channel::kRecipeCommit, recipe.commit_value()), 1'000'000);
  };
  for (const std::int32_t open_us : {0, 20'000}) {
    CHECK(history(next(open_us), Channel::kRecipeState) == "1000=1");
    CHECK(history(next(open_us), Channel::kValve) == "5000=1 35000=0");
  }
}

TEST_CASE("service: the run permit cuts a test shot and takes the rest back") {
  Script script = suspended(testing());
  script.set(50'000, Channel::kOperatorTestShots, 3).set(60'000, Channel::kRunPermit, 1);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "50000=1 60000=0");
  CHECK(history(outputs, Counter::kTestShot) == "");
}

TEST_CASE("service: a test shot cut by a passing container is fired again when it has gone") {
  RecipeValues recipe = with(testing(), Parameter::kTestOpenUs, 300'000);
  recipe.set(Parameter::kTestPeriodUs, 1'000);
  Script script;
  script.started(recipe).set(4'000, Channel::kRunPermit, 0).belt(0, 2'000'000, 10'000);
  script.container(153'000).set(150'000, Channel::kOperatorTestShots, 1);
  const Changes outputs = play(script, 2'000'000);
  CHECK(history(outputs, Channel::kValve) == "150000=1 153500=0 929669=1 1229669=0");
  CHECK(history(outputs, Counter::kTestShot) == "1229669=1");
}

TEST_CASE(
    "guard: a cool-down or test shot needs no container and no run permit, but a clear nozzle") {
  for (const ShotKind kind : {ShotKind::kCoolDown, ShotKind::kTest}) {
    const ValveRequest request{true, std::nullopt, kind};
    Guard guard;
    CHECK(guard.allow(Instant{0}, request, kClear, kLimits));
    Interlocks occupied = kClear;
    occupied.nozzle_clear = false;
    CHECK_FALSE(guard.allow(Instant{1}, request, occupied, kLimits));
    CHECK(guard.fault() == Fault::kNone);
    for (const auto wire : {&Interlocks::safety_chain, &Interlocks::supply_ready,
                            &Interlocks::link_alive, &Interlocks::room_oxygen}) {
      Guard other;
      Interlocks lost = kClear;
      lost.*wire = false;
      CHECK_FALSE(other.allow(Instant{0}, request, lost, kLimits));
    }
  }
}

TEST_CASE("guard: a clear nozzle does not stand in for a container or the run permit") {
  Guard guard;
  CHECK_FALSE(guard.allow(Instant{0}, {true, ContainerNumber{7}}, kClear, kLimits));
  Interlocks all = kClear;
  all.run_permit = true;
  CHECK_FALSE(guard.allow(Instant{1}, {}, all, kLimits));
  CHECK_FALSE(guard.allow(Instant{2}, {true, std::nullopt}, all, kLimits));
  CHECK(guard.fault() == Fault::kOpenWithoutContainer);
}

TEST_CASE("guard: each kind of shot has its own longest time") {
  const auto longest = [](ShotKind kind) {
    Guard guard;
    Interlocks all = kClear;
    all.run_permit = true;
    guard.allow(Instant{0}, {true, ContainerNumber{7}, kind}, all, kLimits);
    return guard.due();
  };
  CHECK(longest(ShotKind::kContainer) == Instant{20'000});
  CHECK(longest(ShotKind::kCoolDown) == Instant{50'000});
  CHECK(longest(ShotKind::kTest) == Instant{30'000});
}

TEST_CASE("service: a container seamed right behind the nozzle still keeps its own clearance") {
  // Seamed 1 mm behind the nozzle, at 659 667 us; it is 133 mm past it only at 879 669.
  RecipeValues recipe = cooling(50'000, 100'000);
  recipe.set(Parameter::kNozzleToSeamUm, 1'000);
  Script script;
  script.started(recipe).belt(0, 1'000'000, 10'000).container(103'000);
  CHECK(history(play(script, 950'000), Channel::kValve) ==
        "3000=1 53000=0 103000=1 153000=0 203000=1 253000=0 303000=1 353000=0 879669=1 929669=0");
}
