#include <doctest/doctest.h>

#include <map>
#include <random>

#include "tests/core/every_instant.hpp"
#include "tests/core/random_head.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

constexpr unsigned kRuns = 80;

Mode mode_of(Levels& level) { return static_cast<Mode>(level[Channel::kMode]); }

}  // namespace

TEST_CASE("head safety: the valve is open only with chain, link and oxygen, without an alarm") {
  int openings = 0;
  std::map<Mode, int> by_mode;
  for (unsigned seed = 0; seed < kRuns; ++seed) {
    CAPTURE(seed);
    const Changes inputs = random_head(seed);
    std::int32_t oxygen_min = 0;
    for (const SignalChange& change : inputs) {
      if (change.channel == recipe_channel(slot(Parameter::kRoomOxygenPpmMin))) {
        oxygen_min = change.value;
      }
    }
    at_every_instant(inputs, [&](Levels& level, Instant) {
      if (level[Channel::kValve] == 0) return;
      ++openings;
      ++by_mode[mode_of(level)];
      REQUIRE(level[Channel::kSafetyChain] == 1);
      REQUIRE(level[Channel::kLinkAlive] == 1);
      REQUIRE(level[Channel::kRoomOxygen] >= oxygen_min);
      REQUIRE(level[Channel::kAlarm] == 0);
      REQUIRE(in_use(mode_of(level)));
      if (mode_of(level) == Mode::kExecute) REQUIRE(level[Channel::kRunPermit] == 1);
    });
  }
  CHECK(openings > 1'000);
  CHECK(by_mode[Mode::kStarting] > 100);
  CHECK(by_mode[Mode::kSuspended] > 100);
  CHECK(by_mode[Mode::kExecute] > 20);
  CHECK(by_mode[Mode::kIdle] > 0);
}

TEST_CASE("head safety: at rest, after a fault and in the dry purge no liquid is let to the head") {
  for (unsigned seed = 0; seed < kRuns; ++seed) {
    CAPTURE(seed);
    at_every_instant(random_head(seed), [&](Levels& level, Instant) {
      const Mode mode = mode_of(level);
      const bool at_rest = mode == Mode::kAborted || mode == Mode::kStopped;
      if (at_rest) REQUIRE(level[Channel::kSupplyIsolation] == 0);
      if (at_rest) REQUIRE(level[Channel::kValve] == 0);
      REQUIRE((level[Channel::kAlarm] != 0) == (mode == Mode::kAborted));
    });
  }
}

TEST_CASE("head safety: however the time is cut, the outputs are the same") {
  for (unsigned seed = 0; seed < kRuns; ++seed) {
    CAPTURE(seed);
    const Changes inputs = random_head(seed);
    const Instant end = inputs.back().at + 2_s;
    const auto run = [&](auto length) {
      DoseController controller;
      Changes outputs;
      std::span<const SignalChange> left = inputs;
      for (Instant at{}; at < end;) {
        const Instant until = earlier(end, at + length());
        at = run_grant(controller, left, until, kNoFeedback,
                       [&](SignalChange change) { outputs.push_back(change); });
        while (!left.empty() && left.front().at < at) left = left.subspan(1);
      }
      return outputs;
    };
    std::mt19937 random(seed);
    const Changes whole = run([] { return 100'000'000_us; });
    const Changes parts =
        run([&] { return Duration{1 + static_cast<std::int64_t>(random() % 9'000)}; });
    REQUIRE(parts == whole);
  }
}
