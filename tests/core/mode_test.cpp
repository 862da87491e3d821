#include <doctest/doctest.h>

#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

std::string modes(const Script& script) {
  return history(play(script, 10'000'000), Channel::kMode);
}

Script started() {
  Script script;
  return script.started(rotary_recipe());
}

}  // namespace

TEST_CASE("mode: the line permit rises with the first instant, whatever it brings") {
  Script script;
  script.set(77, Channel::kRoomOxygen, 209'000);
  CHECK(history(play(script, 1'000), Channel::kLinePermit) == "77=1");
}

TEST_CASE("mode: reset, then start with the run permit, leads to Execute") {
  CHECK(modes(started()) == "2000=1 3000=2");
}

TEST_CASE("mode: without the run permit a started line waits in Suspended") {
  Script script = started();
  script.set(9'000, Channel::kRunPermit, 0).set(12'000, Channel::kRunPermit, 1);
  CHECK(modes(script) == "2000=1 3000=2 9000=3 12000=2");
}

TEST_CASE("mode: start before reset, and reset without a recipe, do nothing") {
  Script early;
  early.recipe(1'000, rotary_recipe()).set(1'000, Channel::kRunPermit, 1);
  early.pulse(2'000, Channel::kOperatorStart, 100);
  CHECK(modes(early) == "");
  Script without_recipe;
  for (const Channel wire : {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kLinkAlive}) {
    without_recipe.set(1'000, wire, 1);
  }
  without_recipe.pulse(2'000, Channel::kOperatorReset, 100);
  CHECK(modes(without_recipe) == "");
}

TEST_CASE("mode: reset does nothing while an interlock is missing") {
  for (const Channel missing :
       {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kLinkAlive}) {
    Script script;
    for (const Channel wire : {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kLinkAlive}) {
      if (wire != missing) script.set(1'000, wire, 1);
    }
    script.recipe(1'000, rotary_recipe()).pulse(2'000, Channel::kOperatorReset, 100);
    CHECK(modes(script) == "");
  }
}

TEST_CASE("mode: stop leads to Stopped and closes the supply; a held button is one press") {
  Script script = started();
  script.set(9'000, Channel::kOperatorStop, 1);
  script.pulse(12'000, Channel::kOperatorReset, 100).pulse(13'000, Channel::kOperatorStart, 100);
  CHECK(modes(script) == "2000=1 3000=2 9000=0 12000=1 13000=2");
  CHECK(history(play(script, 10'000), Channel::kSupplyIsolation) == "2000=1 9000=0");
}

TEST_CASE("mode: where start and stop are pressed in the same instant, stop wins") {
  Script script;
  script.set(1'000, Channel::kSafetyChain, 1).set(1'000, Channel::kSupplyReady, 1);
  script.set(1'000, Channel::kLinkAlive, 1).recipe(1'000, rotary_recipe());
  script.set(1'000, Channel::kRunPermit, 1).pulse(2'000, Channel::kOperatorReset, 100);
  script.pulse(3'000, Channel::kOperatorStart, 100).pulse(3'000, Channel::kOperatorStop, 100);
  CHECK(modes(script) == "2000=1 3000=0");
}

TEST_CASE("mode: a fault is left only by a reset after its cause has gone, and only to Stopped") {
  Script script = started();
  script.set(9'000, Channel::kLinkAlive, 0);
  script.pulse(10'000, Channel::kOperatorReset, 100);  // too early
  script.pulse(11'000, Channel::kOperatorStop, 100);   // no way out
  script.pulse(12'000, Channel::kOperatorStart, 100);
  script.set(13'000, Channel::kLinkAlive, 1);
  script.pulse(14'000, Channel::kOperatorReset, 100);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kMode) == "2000=1 3000=2 9000=4 14000=0");
  CHECK(history(outputs, Channel::kAlarm) == "9000=2 14000=0");
  CHECK(history(outputs, Channel::kLinePermit) == "1000=1 9000=0 14000=1");
}

TEST_CASE("mode: the first fault is the one shown, though others follow") {
  Script script = started();
  script.set(9'000, Channel::kSupplyReady, 0).set(10'000, Channel::kSafetyChain, 0);
  CHECK(history(play(script, 1'000'000), Channel::kAlarm) == "9000=3");
}

TEST_CASE("mode: a stop in the middle of a shot closes the valve and cuts it") {
  Script script = started();
  script.belt(0, 1'000'000, 10'000).container(103'000);
  script.pulse(630'000, Channel::kOperatorStop, 100);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "623000=1 630000=0");
  CHECK(history(outputs, Counter::kShotCut) == "630000=1");
}

TEST_CASE("mode: a recipe sent while running is refused and changes nothing") {
  RecipeValues longer = rotary_recipe();
  longer.set(Parameter::kFlightUs, 50'000);
  Script script = started();
  script.belt(0, 1'000'000, 10'000).container(103'000).recipe(300'000, longer);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kRecipeState) == "1000=1 300000=-1");
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0");
}

TEST_CASE("mode: a recipe out of range is refused as a whole; the old one goes on") {
  RecipeValues bad = rotary_recipe();
  bad.set(Parameter::kFlightUs, 50'000);
  bad.set(Parameter::kTransport, 2);
  Script script;
  script.recipe(500, rotary_recipe()).set(600, Channel::kRecipeCommit, 0).recipe(700, bad);
  script.set(1'000, Channel::kSafetyChain, 1).set(1'000, Channel::kSupplyReady, 1);
  script.set(1'000, Channel::kLinkAlive, 1).set(1'000, Channel::kRunPermit, 1);
  script.pulse(2'000, Channel::kOperatorReset, 100).pulse(3'000, Channel::kOperatorStart, 100);
  script.belt(0, 1'000'000, 10'000).container(103'000);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kRecipeState) ==
        "500=1 700=" + std::to_string(-1000 - slot(Parameter::kTransport)));
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0");
}

TEST_CASE("mode: a container between two recipes is not dosed, and goes to the gate") {
  Script script;
  script.recipe(500, rotary_recipe()).belt(0, 3'000'000, 10'000).container(103'000);
  script.set(600, Channel::kRecipeCommit, 0);
  script.set(1'000, Channel::kSafetyChain, 1).set(1'000, Channel::kSupplyReady, 1);
  script.set(1'000, Channel::kLinkAlive, 1).set(1'000, Channel::kRunPermit, 1);
  script.recipe(300'000, rotary_recipe());
  script.pulse(301'000, Channel::kOperatorReset, 100).pulse(302'000, Channel::kOperatorStart, 100);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Counter::kRejected) == "1660000=1");
}

TEST_CASE("mode: more containers than can be tracked are a fault; reset starts with a clear line") {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kSensorToNozzleUm, 5'000'000);
  recipe.set(Parameter::kPitchMinUm, 0);
  recipe.set(Parameter::kContainerWidthMinUm, 0);
  Script script;
  script.started(recipe).belt(0, 9'000'000, 10'000);
  for (int i = 0; i < 129; ++i)
    script.pulse(100'000 + i * 20'000, Channel::kContainerSensor, 9'000);
  script.pulse(5'000'000, Channel::kOperatorReset, 100);
  const Changes outputs = play(script, 9'900'000);
  // The 129th, believed 2 000 us after its edge.
  CHECK(history(outputs, Channel::kAlarm) == "2662000=8 5000000=0");
  CHECK(history(outputs, Channel::kMode) == "2000=1 3000=2 2662000=4 5000000=0");
  CHECK(history(outputs, Counter::kNotRunning) == "");
}

TEST_CASE("mode: a start that is over without liquid at the head is a fault in that microsecond") {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kPurgeUs, 1'000);
  Script script;
  script.started(recipe).set(1'500, Channel::kSupplyReady, 0);
  const Changes outputs = play(script, 100'000);
  CHECK(history(outputs, Channel::kAlarm) == "4000=3");
  CHECK(history(outputs, Channel::kSupplyIsolation) == "");
}
