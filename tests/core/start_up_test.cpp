#include "firmware_sim/core/start_up.hpp"

#include <doctest/doctest.h>

#include "tests/core/head_line.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// Purge and cool-down only, no test shots.
RecipeValues without_tests() { return with(cold_start_recipe(), Parameter::kTestShotsAtStart, 0); }

std::string modes(const Script& script, std::int64_t until_us = 20'000'000) {
  return history(play(script, until_us), Channel::kMode);
}

}  // namespace

// Worked by hand. Start at 3 000. Purge shots every 200 000 us until 1 003 000, when the supply
// opens and the same shots go on cooling. Cold from 2 100 000, proven 500 000 later. The last
// cool-down shot was at 2 403 000, so the next shot of any kind is due at 2 603 000: the first test
// shot.
TEST_CASE("start-up: a cold start purges, cools down, proves it, fires its test shots, is ready") {
  Script script;
  script.started(cold_start_recipe());
  cold_from(script, 2'100'000);
  const Changes outputs = play(script, 4'000'000);
  CHECK(history(outputs, Channel::kMode) == "2000=1 3000=5 2733000=2");
  CHECK(history(outputs, Channel::kSupplyIsolation) == "1003000=1");
  CHECK(history(outputs, Channel::kValve) ==
        "3000=1 53000=0 203000=1 253000=0 403000=1 453000=0 603000=1 653000=0 803000=1 853000=0 "
        "1003000=1 1053000=0 1203000=1 1253000=0 1403000=1 1453000=0 1603000=1 1653000=0 "
        "1803000=1 1853000=0 2003000=1 2053000=0 2203000=1 2253000=0 2403000=1 2453000=0 "
        "2603000=1 2633000=0 2703000=1 2733000=0");
  CHECK(history(outputs, Counter::kTestShot) == "2633000=1 2733000=2");
  CHECK(history(outputs, Counter::kCoolDownShot).ends_with(" 2403000=13"));
  CHECK(history(outputs, Channel::kAlarm) == "");
}

TEST_CASE("start-up: the supply stays closed in Stopped, Idle and the dry purge") {
  Script script;
  script.started(without_tests()).set(500'000, Channel::kOperatorStop, 1);
  CHECK(history(play(script, 2'000'000), Channel::kSupplyIsolation) == "");
}

TEST_CASE("start-up: without purge and cool-down, Starting is over in the instant it begins") {
  Script script;
  script.started(rotary_recipe());
  CHECK(modes(script) == "2000=1 3000=2");
}

TEST_CASE("start-up: proven cold in the last microsecond is in time, one later is a fault") {
  // The cool-down began at 1 003 000 and may take 10 s: cold from 10 503 000 is proven at 11 003
  // 000.
  const auto cold_at = [](std::int64_t at_us) {
    Script script;
    script.started(without_tests());
    return history(play(cold_from(script, at_us), 12'000'000), Channel::kMode);
  };
  CHECK(cold_at(10'503'000) == "2000=1 3000=5 11003000=2");
  CHECK(cold_at(10'503'001) == "2000=1 3000=5 11003000=4");
}

TEST_CASE("start-up: a cool-down that proves nothing is a named fault and closes the supply") {
  Script script;
  script.started(without_tests());
  script.pulse(11'500'000, Channel::kOperatorReset, 1'000);
  const Changes outputs = play(script, 12'000'000);
  CHECK(history(outputs, Channel::kAlarm) ==
        alarm_at(11'003'000, Fault::kCoolDownTooLong) + " 11500000=0");
  CHECK(history(outputs, Channel::kSupplyIsolation) == "1003000=1 11003000=0");
  CHECK(history(outputs, Channel::kMode) == "2000=1 3000=5 11003000=4 11500000=0");
}

TEST_CASE("start-up: a sample that never arrives is no proof") {
  for (const Channel only : {Channel::kSupplyLevel, Channel::kBodyTemperature}) {
    Script script;
    script.started(without_tests()).set(1'500'000, only, 20'000);
    CHECK(modes(script, 5'000'000) == "2000=1 3000=5");
  }
}

TEST_CASE("start-up: temperature and level prove at their limits and not beyond") {
  const auto mode_with = [](std::int32_t temperature_mk, std::int32_t level_um) {
    Script script;
    script.started(without_tests()).set(1'500'000, Channel::kBodyTemperature, temperature_mk);
    script.set(1'500'000, Channel::kSupplyLevel, level_um);
    return modes(script, 3'000'000);
  };
  CHECK(mode_with(90'000, 20'000) == "2000=1 3000=5 2000000=2");
  CHECK(mode_with(90'001, 20'000) == "2000=1 3000=5");
  CHECK(mode_with(90'000, 19'999) == "2000=1 3000=5");
  CHECK(mode_with(-1, 20'000) == "2000=1 3000=5");
}

TEST_CASE("start-up: a head warm again for one microsecond has to hold anew") {
  Script script;
  script.started(without_tests());
  cold_from(script, 1'500'000);
  script.set(1'800'000, Channel::kBodyTemperature, 95'000);
  script.set(1'800'001, Channel::kBodyTemperature, 90'000);
  CHECK(modes(script, 3'000'000) == "2000=1 3000=5 2300001=2");
}

TEST_CASE("start-up: supply ready is part of the proof, and its loss a fault only after it") {
  Script script;
  script.started(without_tests());
  cold_from(script, 1'500'000);
  script.set(1'600'000, Channel::kSupplyReady, 0).set(1'700'000, Channel::kSupplyReady, 1);
  script.set(3'000'000, Channel::kSupplyReady, 0);
  const Changes outputs = play(script, 4'000'000);
  CHECK(history(outputs, Channel::kMode) == "2000=1 3000=5 2200000=2 3000000=4");
  CHECK(history(outputs, Channel::kAlarm) == alarm_at(3'000'000, Fault::kSupplyLost));
}

TEST_CASE("start-up: an empty head can be started, since the start is what fills it") {
  Script script;
  script.set(500, Channel::kSafetyChain, 1).set(500, Channel::kLinkAlive, 1);
  script.recipe(500, without_tests()).pulse(600, Channel::kOperatorReset, 100);
  script.pulse(3'000, Channel::kOperatorStart, 100).set(3'000, Channel::kRunPermit, 1);
  cold_from(script, 1'500'000).set(1'600'000, Channel::kSupplyReady, 1);
  CHECK(modes(script) == "600=1 3000=5 2100000=2");
}

TEST_CASE("start-up: the chain, the link or stop ends it and its shot in that microsecond") {
  const auto cut_by = [](Channel channel, std::int32_t value) {
    Script script;
    script.started(without_tests()).set(1'210'000, channel, value);
    const Changes outputs = play(script, 2'000'000);
    CHECK(history(outputs, Channel::kValve).ends_with(" 1203000=1 1210000=0"));
    CHECK(history(outputs, Channel::kSupplyIsolation) == "1003000=1 1210000=0");
    return history(outputs, Channel::kMode);
  };
  CHECK(cut_by(Channel::kSafetyChain, 0) == "2000=1 3000=5 1210000=4");
  CHECK(cut_by(Channel::kLinkAlive, 0) == "2000=1 3000=5 1210000=4");
  CHECK(cut_by(Channel::kOperatorStop, 1) == "2000=1 3000=5 1210000=0");
}

TEST_CASE("start-up: every start purges and cools down again") {
  Script script;
  script.started(without_tests());
  cold_from(script, 1'100'000).pulse(2'000'000, Channel::kOperatorStop, 1'000);
  script.pulse(2'100'000, Channel::kOperatorReset, 1'000);
  script.pulse(2'200'000, Channel::kOperatorStart, 1'000);
  const Changes outputs = play(script, 5'000'000);
  CHECK(history(outputs, Channel::kMode) ==
        "2000=1 3000=5 1600000=2 2000000=0 2100000=1 2200000=5 3700000=2");
  CHECK(history(outputs, Channel::kSupplyIsolation) == "1003000=1 2000000=0 3200000=1");
}

TEST_CASE("start-up: containers that pass during the start get nothing and go to the gate") {
  Script script;
  script.started(without_tests()).belt(0, 3'000'000, 10'000).container(103'000);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Counter::kNotRunning) == "623000=1");
  CHECK(history(outputs, Counter::kRejected) == "1660000=1");
}
