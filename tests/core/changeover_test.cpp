#include <doctest/doctest.h>

#include "tests/core/head_line.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// A wider, taller container under a raised nozzle: 90 mm wide, its opening's centre 45 mm behind
/// the leading edge, 40 ms of flight.
RecipeValues taller_container() {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kEdgeToCentreUm, 45'000);
  recipe.set(Parameter::kContainerWidthMinUm, 80'000);
  recipe.set(Parameter::kFlightUs, 40'000);
  recipe.set(Parameter::kPitchMinUm, 80'000);
  return recipe;
}

/// One container of the first size, a stop, the new recipe, a start.
Script changeover(const RecipeValues& next) {
  Script script;
  script.started(rotary_recipe()).belt(0, 5'000'000, 10'000).container(103'000);
  script.pulse(900'000, Channel::kOperatorStop, 1'000).recipe(1'000'000, next);
  script.pulse(1'010'000, Channel::kOperatorReset, 1'000);
  script.pulse(1'020'000, Channel::kOperatorStart, 1'000);
  return script;
}

}  // namespace

// The second recipe's shot leads by 40 000 + 15 000 us, and 345 mm at 0.6 um/us are 575 000: the
// container whose edge passes at 1 203 000 is due 520 000 later as well, by other figures.
TEST_CASE("changeover: after a stop the line doses another container size under another nozzle") {
  Script script = changeover(taller_container());
  script.pulse(1'203'500, Channel::kContainerSensor, 150'000);
  script.pulse(1'503'500, Channel::kContainerSensor, 110'000);  // one of the first size: refused
  const Changes outputs = play(script, 5'000'000);
  CHECK(history(outputs, Channel::kRecipeState) == "1000=1");
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0 1723000=1 1743000=0");
  CHECK(history(outputs, Counter::kWidthImplausible) == "1615500=1");
}

TEST_CASE("changeover: a wrong slot refuses the recipe as a whole and the old size goes on") {
  RecipeValues wrong = taller_container();
  wrong.set(Parameter::kGateAfterUm, -1);
  Script script = changeover(wrong);
  script.container(1'203'000);
  const Changes outputs = play(script, 5'000'000);
  CHECK(history(outputs, Channel::kRecipeState) ==
        "1000=1 1000000=" + std::to_string(-1000 - slot(Parameter::kGateAfterUm)));
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0 1723000=1 1743000=0");
}

TEST_CASE("changeover: what stands between sensor and gate while the recipe changes is rejected") {
  Script script = changeover(taller_container());
  script.container(703'000);  // due at 1 223 000 by the old recipe
  const Changes outputs = play(script, 5'000'000);
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0");
  CHECK(history(outputs, Counter::kRejected).size() > 0);
}

TEST_CASE("changeover: while running or starting a recipe is refused and nothing changes") {
  Script running;
  running.started(rotary_recipe()).recipe(500'000, taller_container());
  CHECK(history(play(running, 1'000'000), Channel::kRecipeState) == "1000=1 500000=-1");
  Script starting;
  starting.started(cold_start_recipe()).recipe(500'000, taller_container());
  CHECK(history(play(starting, 1'000'000), Channel::kRecipeState) == "1000=1 500000=-1");
}
