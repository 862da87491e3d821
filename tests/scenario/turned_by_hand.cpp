/// A block that is turned by hand while the line stands, from many places and by many ways.

#include <doctest/doctest.h>

#include "harness/config/load.hpp"
#include "tests/support/verdict_of.hpp"

using namespace rimebench;

namespace {

Scenario turned_back() {
  Diagnostics mistakes;
  auto scenario =
      load_scenario(REPOSITORY_DIR "/config/scenarios/stop_turned_back.yaml", {}, mistakes);
  REQUIRE(scenario);
  scenario->plant.feed = Duration{100'000'000};
  return *scenario;
}

Spell by_hand(std::int64_t at_us, double um_per_s) {
  Spell jog;
  jog.at = Instant{at_us};
  jog.lasts = Duration{2'000'000};
  jog.amount = um_per_s;
  return jog;
}

}  // namespace

TEST_CASE("turned by hand: whatever the place and the way, no bad can leaves that a sensor told") {
  const std::vector<std::vector<Spell>> ways{
      {by_hand(66'000'000, -10'000)},
      {by_hand(66'000'000, -30'000)},
      {by_hand(66'000'000, -60'000)},
      {by_hand(66'000'000, -150'000)},
      {by_hand(66'000'000, 60'000)},
      {by_hand(64'000'000, -100'000), by_hand(67'000'000, 100'000)},
      {by_hand(64'000'000, 60'000), by_hand(67'000'000, -100'000)},
  };
  Scenario scenario = turned_back();
  std::int64_t undosed = 0;
  for (std::int64_t later = 0; later < 150'000; later += 15'000) {
    scenario.plant.happens.stops.front().at = Instant{60'000'000 + later};
    for (const std::vector<Spell>& way : ways) {
      scenario.plant.happens.of(SpellKind::kJog) = way;
      const Verdict verdict = test::verdict_of(scenario);
      INFO("stopped ", later, " us later, turned at ", way.back().amount, " um/s");
      CHECK(verdict.escapes_sensed.count == 0);
      CHECK(verdict.false_rejects.count <= 30);
      undosed += verdict.undosed;
    }
  }
  CHECK(undosed > 70);  // every one of them leaves cans without a shot
}
