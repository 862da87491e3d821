#include <algorithm>
#include <array>

#include "harness/conformance/checks.hpp"

namespace rimebench {

namespace {

Bytes grant_frame(std::uint16_t seq, std::int64_t until_us, const Changes& changes = {}) {
  return framed(GrantMessage{seq, Instant{until_us}, kNoFeedback, changes});
}

SignalChange permit(std::int64_t at_us, std::int32_t value) {
  return {Instant{at_us}, Channel::kRunPermit, value};
}

void progress(const Bench& bench) {
  const auto probe = bench.greeted();
  for (const std::int64_t until_us : {1LL, 2LL, 1'000LL, 1'000'000LL}) {
    const std::uint16_t seq = probe->seq();
    probe->send(grant_frame(seq, until_us));
    ChangeBuffer changes;
    const std::string what = "grant " + std::to_string(seq) + " to " + std::to_string(until_us);
    const auto payload = probe->receive(what);
    const auto reached = decode_reached(payload, changes);
    require(reached && reached->seq == seq, what + ": the answer is " + description(payload));
    // With no input to wait for there is nothing to stop at but an output that fills the answer.
    require(reached->at.us == until_us || !reached->changes.empty(),
            what + ": it stopped at " + std::to_string(reached->at.us) + " us for no reason");
    probe->greet();
  }
}

void sequence(const Bench& bench) {
  const auto probe = bench.greeted();
  probe->grant(Instant{100});
  const auto refused = [&](std::uint16_t seq, const std::string& what) {
    probe->expect_refusal(grant_frame(seq, 1'000), {Refusal::kSequence, seq}, what);
  };
  refused(3, "grant 3 after grant 1");
  refused(0, "grant 0 after grant 1");
  refused(65'535, "grant 65535 after grant 1");
  probe->expect_unharmed("numbers that do not follow");
}

void old(const Bench& bench) {
  const auto probe = bench.greeted();
  for (std::int64_t i = 1; i <= 5; ++i) probe->grant(Instant{100 * i});
  for (std::uint16_t seq = 1; seq <= 5; ++seq) {
    probe->expect_refusal(grant_frame(seq, 1'000), {Refusal::kSequence, seq},
                          "grant " + std::to_string(seq) + " after grant 5");
  }
  probe->expect_unharmed("old numbers");
}

void time(const Bench& bench) {
  const auto probe = bench.greeted();
  probe->grant(Instant{100});
  const Instant reached = probe->reached();
  for (const Instant until : {reached, reached - Duration{1}, Instant{0}}) {
    probe->expect_refusal(
        grant_frame(2, until.us), {Refusal::kTime, 2},
        "a grant to " + std::to_string(until.us) + " us at " + std::to_string(reached.us) + " us");
  }
  probe->expect_unharmed("grants that reach no further");
}

void order(const Bench& bench) {
  const auto probe = bench.greeted();
  while (probe->reached() < Instant{100}) probe->grant(Instant{100});
  const std::uint16_t seq = probe->seq();
  const auto refused = [&](const Changes& changes, const std::string& what) {
    probe->expect_refusal(grant_frame(seq, 1'000, changes), {Refusal::kOrder, seq}, what);
  };
  const SignalChange sensor{Instant{500}, Channel::kContainerSensor, 1};
  refused({permit(99, 1)}, "a change before the instant reached");
  refused({permit(1'000, 1)}, "a change at the grant's end");
  refused({permit(500, 1), sensor}, "two changes of one instant with falling channels");
  refused({permit(500, 1), permit(500, 0)}, "two changes of one channel at one instant");
  probe->expect_unharmed("changes out of order");
}

void channel(const Bench& bench) {
  const auto probe = bench.greeted();
  for (const Channel wrong : {Channel::kValve, Channel::kValveActual}) {
    probe->expect_refusal(grant_frame(1, 1'000, {{Instant{500}, wrong, 1}}), {Refusal::kChannel, 1},
                          "a change on channel " + std::to_string(number(wrong)));
  }
  probe->expect_unharmed("changes on channels that are no inputs");
}

/// Changes of three bytes each.
Changes small_changes(std::size_t count) {
  Changes changes;
  for (std::size_t i = 1; i <= count; ++i) {
    const auto at = static_cast<std::int64_t>(i);
    changes.push_back({Instant{at}, Channel::kLinePulse, static_cast<std::int32_t>(i % 2)});
  }
  return changes;
}

/// The most of them that fit one frame beside this grant's head.
constexpr std::size_t kSmallMax = (kPayloadMax - kGrantHeadMax) / 3;

void full(const Bench& bench) {
  const auto probe = bench.greeted();
  const std::size_t most = std::min(probe->capacity(), kSmallMax);
  probe->run({Instant{1'000}, small_changes(most)});
}

void too_many(const Bench& bench) {
  const auto probe = bench.greeted();
  if (probe->capacity() >= kSmallMax) return;  // more cannot travel
  probe->expect_refusal(grant_frame(1, 1'000, small_changes(probe->capacity() + 1)),
                        {Refusal::kTooMany, 1},
                        std::to_string(probe->capacity() + 1) + " changes in a grant");
  probe->expect_unharmed("too many changes");
}

void instant(const Bench& bench) {
  const auto probe = bench.greeted();
  Changes all;
  for (auto c = number(Channel::kContainerSensor); c <= number(Channel::kRoomOxygen); ++c) {
    all.push_back({Instant{500}, static_cast<Channel>(c), INT32_MIN});
  }
  for (int slot = 0; slot < kParameterSlots; ++slot) {
    all.push_back({Instant{500}, recipe_channel(slot), INT32_MAX});
  }
  all.push_back({Instant{500}, Channel::kRecipeCommit, INT32_MIN});
  probe->run({Instant{1'000}, all});
}

constexpr std::array kChecks{
    Check{"progress", "a grant is answered with its number and the instant reached", progress},
    Check{"sequence", "a number that leaves one out is refused and changes nothing", sequence},
    Check{"old", "a number that was there before is refused and changes nothing", old},
    Check{"time", "a grant that reaches no further is refused", time},
    Check{"order", "changes out of order or outside their grant are refused", order},
    Check{"channel", "a change on a channel that is no input is refused", channel},
    Check{"full", "a grant with as many changes as the node says it takes is taken", full},
    Check{"too_many", "a grant with more changes than that is refused", too_many},
    Check{"instant", "every input can change in one instant, to the longest value", instant},
};

void wrap(const Bench& bench) {
  const auto probe = bench.greeted();
  for (std::int64_t i = 1; i <= 65'540; ++i) probe->grant(Instant{i});
}

constexpr std::array kThorough{
    Check{"wrap", "grant 65535 is followed by grant 0", wrap},
};

}  // namespace

std::span<const Check> grant_checks() { return kChecks; }
std::span<const Check> thorough_checks() { return kThorough; }

}  // namespace rimebench
