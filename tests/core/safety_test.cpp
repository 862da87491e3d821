#include <doctest/doctest.h>

#include <map>

#include "tests/core/every_instant.hpp"
#include "tests/core/line_on_rails.hpp"
#include "tests/core/random_line.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

constexpr unsigned kRuns = 60;

}  // namespace

TEST_CASE(
    "safety: whatever the wires do, the valve is open only with permit, chain, supply and link") {
  int openings = 0;
  for (unsigned seed = 0; seed < kRuns; ++seed) {
    at_every_instant(random_line(seed), [&](Levels& level, Instant) {
      if (level[Channel::kValve] == 0) return;
      ++openings;
      REQUIRE(level[Channel::kRunPermit] == 1);
      REQUIRE(level[Channel::kSafetyChain] == 1);
      REQUIRE(level[Channel::kSupplyReady] == 1);
      REQUIRE(level[Channel::kLinkAlive] == 1);
      REQUIRE(level[Channel::kMode] == static_cast<int>(Mode::kExecute));
      REQUIRE(level[Channel::kAlarm] == 0);
    });
  }
  CHECK(openings > 100);
}

TEST_CASE(
    "safety: an alarm and Aborted come and go together, and take permit and supply with them") {
  for (unsigned seed = 0; seed < kRuns; ++seed) {
    at_every_instant(random_line(seed), [&](Levels& level, Instant) {
      const bool aborted = level[Channel::kMode] == static_cast<int>(Mode::kAborted);
      REQUIRE((level[Channel::kAlarm] != 0) == aborted);
      REQUIRE((level[Channel::kLinePermit] == 0) == aborted);
      if (aborted) REQUIRE(level[Channel::kSupplyIsolation] == 0);
    });
  }
}

TEST_CASE("safety: no shot lasts longer than open_us_max, whatever the wires do") {
  for (unsigned seed = 0; seed < kRuns; ++seed) {
    const Changes inputs = random_line(seed);
    DoseController controller;
    Instant opened;
    run_grant(controller, inputs, inputs.back().at + 2_s, kNoFeedback, [&](SignalChange change) {
      if (change.channel != Channel::kValve) return;
      if (change.value == 1) opened = change.at;
      if (change.value == 0) REQUIRE(change.at - opened <= 150_ms);
    });
  }
}

TEST_CASE("safety: more group signals than can be remembered are a fault, not a guess") {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kPlaceSource, static_cast<int>(PlaceSource::kContainersAhead));
  Script script;
  script.started(recipe).belt(0, 1'000'000, 10'000);
  for (int i = 0; i < 65; ++i) script.pulse(100'000 + i * 1'000, Channel::kGroupStart, 500);
  CHECK(history(play(script, 1'000'000), Channel::kAlarm) == "164000=8");
}
