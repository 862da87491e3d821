#include <doctest/doctest.h>

#include "tests/core/head_line.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// After 1 s without a shot two doses are unsteady.
RecipeValues unsteady() {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kIdleUsMax, 1'000'000);
  recipe.set(Parameter::kUnsteadyCount, 2);
  return recipe;
}

/// Containers whose shots are due at these instants, 20 ms each.
Changes shots_at(const RecipeValues& recipe, std::initializer_list<std::int64_t> due_us,
                 std::int32_t body_mk = 0) {
  Script script;
  script.started(recipe).belt(0, 6'000'000, 10'000);
  if (body_mk > 0) script.set(500, Channel::kBodyTemperature, body_mk);
  for (const std::int64_t at : due_us) script.container(at - 520'000);
  return play(script, 6'000'000);
}

std::string unsteady_doses(std::initializer_list<std::int64_t> due_us) {
  return history(shots_at(unsteady(), due_us), Counter::kDoseUnsteady);
}

RecipeValues idling() {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kIdlePeriodUs, 300'000);
  recipe.set(Parameter::kCoolDownOpenUs, 50'000);
  return recipe;
}

}  // namespace

TEST_CASE(
    "idle: a head that was started without proof flags its first containers and rejects them") {
  const Changes outputs = shots_at(unsteady(), {623'000, 823'000, 1'023'000});
  CHECK(history(outputs, Channel::kValve) ==
        "623000=1 643000=0 823000=1 843000=0 1023000=1 1043000=0");
  CHECK(history(outputs, Counter::kDoseUnsteady) == "623000=1 823000=2");
  CHECK(history(outputs, Counter::kRejected) == "1660000=1 1860000=2");
}

TEST_CASE("idle: an unsteady dose that comes when its container is past the seam is counted") {
  RecipeValues recipe = with(unsteady(), Parameter::kNozzleToSeamUm, 1'000);
  recipe.set(Parameter::kLandingLateMaxUm, 50'000);
  recipe.set(Parameter::kRestUsMin, 200'000);  // so the second opens 70 000 us, 42 mm, late
  const Changes outputs = shots_at(recipe, {623'000, 773'000});
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0 843000=1 863000=0");
  CHECK(history(outputs, Counter::kDoseUnsteady) == "623000=1 843000=2");
}

TEST_CASE("idle: at the limit the next dose is unsteady, just before it is not") {
  // The third shot ends at 1 043 000.
  CHECK(unsteady_doses({623'000, 823'000, 1'023'000, 2'042'995}) == "623000=1 823000=2");
  CHECK(unsteady_doses({623'000, 823'000, 1'023'000, 2'043'000}) == "623000=1 823000=2 2043000=3");
}

TEST_CASE("idle: where the dosing body has a sensor it alone tells whether a dose is steady") {
  const RecipeValues recipe = with(unsteady(), Parameter::kBodyTemperatureMkMax, 90'000);
  const auto flagged = [&](std::int32_t body_mk) {
    return history(shots_at(recipe, {623'000, 823'000, 1'023'000}, body_mk),
                   Counter::kDoseUnsteady);
  };
  CHECK(flagged(90'000) == "");
  CHECK(flagged(90'001) == "623000=1 823000=2 1023000=3");
  CHECK(flagged(0) == "623000=1 823000=2 1023000=3");
}

TEST_CASE("idle: a start that proved the head cold owes no container") {
  RecipeValues recipe = cold_start_recipe();
  recipe.set(Parameter::kIdleUsMax, 1'000'000);
  recipe.set(Parameter::kUnsteadyCount, 2);
  recipe.set(Parameter::kTestShotsAtStart, 0);
  recipe.set(Parameter::kBodyTemperatureMkMax, 0);
  Script script;
  script.started(recipe).belt(0, 4'000'000, 10'000);
  script.set(600'000, Channel::kSupplyLevel, 20'000).container(1'603'000);
  const Changes outputs = play(script, 4'000'000);
  CHECK(history(outputs, Channel::kMode) == "2000=1 3000=5 1503000=2");
  CHECK(history(outputs, Channel::kValve).ends_with("2123000=1 2143000=0"));
  CHECK(history(outputs, Counter::kDoseUnsteady) == "");
}

TEST_CASE("idle: while no container comes a cool-down shot is fired every idle_period_us") {
  Script running;
  running.started(idling());
  const Changes outputs = play(running, 800'000);
  CHECK(history(outputs, Channel::kValve) == "303000=1 353000=0 653000=1 703000=0");
  CHECK(history(outputs, Counter::kCoolDownShot) == "303000=1 653000=2");
  Script waiting;
  waiting.started(idling()).set(4'000, Channel::kRunPermit, 0);
  CHECK(history(play(waiting, 800'000), Channel::kValve) == "303000=1 353000=0 653000=1 703000=0");
}

TEST_CASE("idle: neither Idle nor Stopped fires cool-down shots") {
  Script script;
  script.started(idling()).pulse(100'000, Channel::kOperatorStop, 1'000);
  script.pulse(200'000, Channel::kOperatorReset, 1'000);
  CHECK(history(play(script, 2'000'000), Channel::kValve) == "");
}

TEST_CASE("idle: cool-down shots keep the head from idling") {
  RecipeValues recipe = idling();
  recipe.set(Parameter::kIdleUsMax, 600'000);
  recipe.set(Parameter::kUnsteadyCount, 1);
  const Changes outputs = shots_at(recipe, {3'023'000, 3'223'000});
  // The first shot after the start is unsteady; it was a cool-down shot.
  CHECK(history(outputs, Counter::kCoolDownShot).starts_with("303000=1 653000=2"));
  CHECK(history(outputs, Counter::kDoseUnsteady) == "");
}

TEST_CASE("idle: containers close behind each other leave no room for a cool-down shot") {
  Script script;
  script.started(with(idling(), Parameter::kIdlePeriodUs, 100'000)).belt(0, 2'000'000, 10'000);
  for (std::int64_t at = 103'000; at < 1'200'000; at += 200'000) script.container(at);
  const Changes outputs = play(script, 1'600'000);
  // The last one before the first container: it needs the nozzle clear until 324 333.
  CHECK(history(outputs, Counter::kCoolDownShot) == "103000=1 253000=2");
  CHECK(history(outputs, Counter::kRestTooShort) == "");
}
