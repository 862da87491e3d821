#include "firmware_sim/core/grant.hpp"

#include <doctest/doctest.h>

#include <random>
#include <set>

#include "tests/core/line_on_rails.hpp"
#include "tests/core/random_line.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// Grants up to `until_us`, each as long as `length()` says; inputs a grant did not reach are sent
/// again, as the bench does.
template <class Length>
Changes play_in_grants(const Changes& inputs, std::int64_t until_us, const Feedback& feedback,
                       Length length) {
  DoseController controller;
  Changes outputs;
  std::span<const SignalChange> left = inputs;
  Instant reached{0};
  while (reached < Instant{until_us}) {
    const Instant until = earlier(reached + length(), Instant{until_us});
    reached = run_grant(controller, left, until, feedback,
                        [&](SignalChange change) { outputs.push_back(change); });
    while (!left.empty() && left.front().at < reached) left = left.subspan(1);
  }
  return outputs;
}

/// A busy rotary line: chatter, narrow containers, stops, a cut shot, a fault and its reset.
Script busy_line() {
  Script script;
  script.started(rotary_recipe()).belt(0, 1'200'000, 10'000);
  for (int i = 0; i < 12; ++i) script.container(103'000 + i * 150'000);
  script.pulse(90'000, Channel::kContainerSensor, 700);
  script.set(1'080'000, Channel::kRunPermit, 0).set(1'400'000, Channel::kRunPermit, 1);
  script.belt(1'500'000, 4'000'000, 12'345);
  script.set(2'100'000, Channel::kLinkAlive, 0).set(2'200'000, Channel::kLinkAlive, 1);
  script.pulse(2'300'000, Channel::kOperatorReset, 1'000);
  script.pulse(2'400'000, Channel::kOperatorReset, 1'000);
  return script.pulse(2'500'000, Channel::kOperatorStart, 1'000);
}

}  // namespace

TEST_CASE("grant: however a run is cut in two, the outputs are the same") {
  const Changes inputs = busy_line().changes();
  constexpr std::int64_t kEnd = 4'500'000;
  const Changes whole = play(busy_line(), kEnd);
  REQUIRE(history(whole, Channel::kValve).size() > 100);
  std::set<std::int64_t> cuts;
  for (const Changes* changes : {&inputs, &whole}) {
    for (const SignalChange& change : *changes) {
      for (const std::int64_t near : {-1, 0, 1}) cuts.insert(change.at.us + near);
    }
  }
  for (const std::int64_t cut : cuts) {
    bool first = true;
    const Changes parts = play_in_grants(inputs, kEnd, kNoFeedback, [&] {
      const Duration length{first ? cut : kEnd};
      first = false;
      return length;
    });
    REQUIRE(parts == whole);
  }
}

TEST_CASE("grant: cut at random, with any lookahead, the outputs are the same") {
  std::mt19937 random(1);
  const Changes inputs = busy_line().changes();
  constexpr std::int64_t kEnd = 4'500'000;
  const Changes whole = play(busy_line(), kEnd);
  for (const std::uint32_t longest : {7u, 1'000u, 30'000u, 1'000'000u}) {
    for (const Feedback& feedback : {Feedback{1_us}, Feedback{500_us}, kNoFeedback}) {
      const Changes parts = play_in_grants(inputs, kEnd, feedback, [&] {
        return Duration{1 + static_cast<std::int64_t>(random() % longest)};
      });
      REQUIRE(parts == whole);
    }
  }
}

TEST_CASE("grant: whatever the wires do, the core holds and the cuts do not show") {
  for (unsigned seed = 0; seed < 60; ++seed) {
    CAPTURE(seed);
    const Changes inputs = random_line(seed);
    const std::int64_t end = inputs.back().at.us + 2'000'000;
    const auto once = [&] { return Duration{end}; };
    const Changes whole = play_in_grants(inputs, end, kNoFeedback, once);
    std::mt19937 random(seed);
    const Changes parts = play_in_grants(inputs, end, 700_us, [&] {
      return Duration{1 + static_cast<std::int64_t>(random() % 20'000)};
    });
    REQUIRE(parts == whole);
  }
}

TEST_CASE(
    "grant: an input that no part listens to changes nothing, even at the instant of a pulse") {
  const Changes whole = play(busy_line(), 4'500'000);
  Script with_samples = busy_line();
  std::int32_t level = 0;
  for (const SignalChange& change : busy_line().changes()) {
    if (change.channel != Channel::kLinePulse) continue;
    level = 1 - level;
    with_samples.set(change.at.us, Channel::kRoomOxygen, level);
    with_samples.set(change.at.us + 777, Channel::kSupplyLevel, level);
  }
  CHECK(play(with_samples, 4'500'000) == whole);
}

TEST_CASE("grant: it ends one lookahead after its first output, and leaves later inputs alone") {
  DoseController controller;
  Script script;
  script.started(rotary_recipe());
  const Changes inputs = script.changes();
  Changes outputs;
  const auto collect = [&](SignalChange change) { outputs.push_back(change); };
  // The first output is the line permit at 1 000 us.
  CHECK(run_grant(controller, inputs, Instant{9'000}, 500_us, collect) == Instant{1'500});
  CHECK(outputs.back().at == Instant{1'000});
  // An end before that is kept.
  CHECK(run_grant(controller, {}, Instant{1'700}, 500_us, collect) == Instant{1'700});
}

TEST_CASE("grant: an output that brings nothing back does not end it") {
  DoseController controller;
  Script script;
  script.started(rotary_recipe()).belt(0, 700'000, 10'000).container(103'000);
  const Changes inputs = script.changes();
  Changes outputs;
  OutputSet valve;
  valve.add(Channel::kValve);
  // The permit comes at 1 000 us, mode and recipe state after it, the valve opens at 623 000.
  CHECK(run_grant(controller, inputs, Instant{700'000}, Feedback{500_us, valve},
                  [&](SignalChange change) { outputs.push_back(change); }) == Instant{623'500});
  CHECK(history(outputs, Channel::kLinePermit) == "1000=1");
  CHECK(history(outputs, Channel::kValve) == "623000=1");
}

TEST_CASE("grant: half open: a change at its very end is not taken, a timer at its end not fired") {
  DoseController controller;
  Script script;
  script.started(rotary_recipe()).belt(0, 620'000, 10'000).container(103'000);
  const Changes inputs = script.changes();
  Changes outputs;
  const auto collect = [&](SignalChange change) { outputs.push_back(change); };
  CHECK(run_grant(controller, inputs, Instant{623'000}, kNoFeedback, collect) == Instant{623'000});
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(controller.next_wake() == Instant{623'000});
  run_grant(controller, {}, Instant{623'001}, kNoFeedback, collect);
  CHECK(history(outputs, Channel::kValve) == "623000=1");
  CHECK(controller.next_wake() == Instant{643'000});
}

TEST_CASE("grant: a copy of the controller goes on exactly as the original") {
  const Changes inputs = busy_line().changes();
  DoseController original;
  const auto ignore = [](SignalChange) {};
  const Instant middle = run_grant(original, inputs, Instant{1'000'000}, kNoFeedback, ignore);
  std::span<const SignalChange> rest = inputs;
  while (rest.front().at < middle) rest = rest.subspan(1);
  DoseController copy = original;
  Changes first;
  Changes second;
  run_grant(original, rest, Instant{4'500'000}, kNoFeedback,
            [&](SignalChange c) { first.push_back(c); });
  run_grant(copy, rest, Instant{4'500'000}, kNoFeedback,
            [&](SignalChange c) { second.push_back(c); });
  CHECK(first.size() > 10);
  CHECK(first == second);
}

TEST_CASE("grant: a controller that has been told nothing waits for nothing") {
  DoseController controller;
  CHECK(controller.next_wake() == kNever);
  CHECK(controller.advance(Instant{1'000'000}).empty());
}
