#include <array>
#include <map>

#include "firmware_sim/contract/fault.hpp"
#include "harness/conformance/exercise.hpp"
#include "harness/conformance/paced_checks.hpp"
#include "harness/link/paced_rules.hpp"

namespace rimebench {

namespace {

/// A bench is gone after this, and no controller needs so much longer to say that it noticed.
constexpr Duration kBenchSilence = 1_s;
constexpr Duration kNoticed = 1_s;
/// For an answer on recipe_state.
constexpr Duration kRecipeMax = 1_s;
/// Off by a hundredth at most, and rounded.
constexpr Duration kSilenceLeast = 989_ms;

std::span<const SignalChange> first_instant(std::span<const SignalChange> changes) {
  std::size_t count = 1;
  while (count < changes.size() && changes[count].at == changes.front().at) ++count;
  return changes.first(count);
}

/// Instant by instant, each as soon as the last is taken; returns when the last was received.
Instant play(PacedProbe& probe, const Changes& changes) {
  Instant received{};
  for (std::span<const SignalChange> rest = changes; !rest.empty();) {
    const auto now = first_instant(rest);
    received = probe.give(now).received;
    rest = rest.subspan(now.size());
  }
  return received;
}

void taken(const PacedBench& bench) {
  const auto probe = bench.greeted();
  for (const SignalChange& change : power_on_changes()) {
    const std::uint16_t seq = probe->seq();
    const TakenMessage message = probe->give_plainly({&change, 1});
    require(message.seq == seq, "inputs " + std::to_string(seq) + " were answered with taken " +
                                    std::to_string(message.seq));
    const std::uint16_t outputs = probe->outputs().empty() ? 0 : probe->outputs().back().seq;
    require(message.outputs == outputs, "taken " + std::to_string(seq) + " says that outputs " +
                                            std::to_string(message.outputs) +
                                            " went before it, it was " + std::to_string(outputs));
  }
}

void in_turn(const PacedBench& bench) {
  const auto probe = bench.greeted();
  Bytes two;
  for (std::uint16_t seq = 1; seq <= 2; ++seq) {
    const Bytes frame = framed(InputsMessage{seq, {}});
    two.insert(two.end(), frame.begin(), frame.end());
  }
  probe->expect_each_taken(two, 2);
}

void clock(const PacedBench& bench) {
  const auto probe = bench.greeted();
  const PacedTaken first = probe->give();
  PacedTaken last = first;
  for (int i = 0; i < 40; ++i) {
    const PacedTaken stamps = probe->give();
    for (const PacedTaken& previous : {last, first}) {
      if (const auto why = objection(stamps, previous)) throw CheckFailed(*why);
    }
    last = stamps;
    probe->watch(10_ms, [] { return false; });
  }
}

/// Any output with this value, and when it was due.
std::optional<Instant> seen(const PacedProbe& probe, Channel channel, std::int32_t value) {
  for (const CameOut& out : probe.outputs()) {
    for (const SignalChange& change : out.changes) {
      if (change.channel == channel && change.value == value) return out.due;
    }
  }
  return std::nullopt;
}

void outputs(const PacedBench& bench) {
  const auto probe = bench.greeted();
  std::map<Channel, std::int32_t> present;
  std::optional<PacedTaken> last;
  std::optional<Instant> due;
  std::uint16_t seq = 0;
  const Changes script = power_on_changes();
  for (std::span<const SignalChange> rest = script; !rest.empty();) {
    const auto now = first_instant(rest);
    const std::size_t known = probe->outputs().size();
    const PacedTaken stamps = probe->give(now);
    for (std::size_t i = known; i < probe->outputs().size(); ++i) {
      const CameOut& out = probe->outputs()[i];
      ++seq;
      require(out.seq == seq,
              "outputs " + std::to_string(out.seq) + " came instead of " + std::to_string(seq));
      const PacedOutputs as_taken{out.due, out.pins, out.changes};
      if (const auto why = objection(out.changes)) throw CheckFailed(*why);
      if (const auto why = objection(as_taken, out.arrived, last, due)) throw CheckFailed(*why);
      for (const SignalChange& change : out.changes) {
        require(change.value != present[change.channel],
                "its outputs " + std::to_string(seq) + " repeat the present value of channel " +
                    std::to_string(number(change.channel)));
        present[change.channel] = change.value;
      }
      due = out.due;
    }
    last = stamps;
    rest = rest.subspan(now.size());
  }
  require(seq > 0, "it put out nothing, though it was started");
}

void instants(const PacedBench& bench) {
  const auto probe = bench.greeted();
  const RecipeValues sound = sound_recipe();
  Changes two = recipe_changes(Instant{1'000}, sound);
  two.back().value ^= 1;  // another checksum
  two.push_back({Instant{2'000}, Channel::kRecipeCommit, sound.commit_value()});
  probe->give(two);
  probe->watch(kRecipeMax,
               [&] { return seen(*probe, Channel::kRecipeState, kRecipeAccepted).has_value(); });
  const auto refused = seen(*probe, Channel::kRecipeState, kRecipeRefusedChecksum);
  const auto accepted = seen(*probe, Channel::kRecipeState, kRecipeAccepted);
  require(refused && accepted && *refused < *accepted,
          "of two commits with two stamps in one message, the first with a wrong checksum, it "
          "refused and accepted not one after the other");
}

void late(const PacedBench& bench) {
  const auto probe = bench.greeted();
  const SignalChange later_one{Instant{5'000'000}, Channel::kLinePulse, 1};
  const SignalChange late_one{Instant{4'000'000}, Channel::kContainerSensor, 1};
  probe->give({&later_one, 1});
  try {
    probe->give({&late_one, 1});
  } catch (const CheckFailed& failure) {
    throw CheckFailed(std::string("inputs stamped a second before the last: ") + failure.what());
  }
}

void silence(const PacedBench& bench) {
  const auto probe = bench.greeted();
  const Instant heard = play(*probe, power_on_changes());
  const auto lost = [&] {
    return seen(*probe, Channel::kAlarm, static_cast<std::int32_t>(Fault::kLinkLost));
  };
  require(!lost(), "it called the link lost while the bench was talking");
  probe->watch(kBenchSilence + kNoticed, [&] { return lost().has_value(); });
  require(lost().has_value(), "the bench kept silent for 2 s and no alarm 2 (link_lost) came");
  require(*lost() - heard >= kSilenceLeast, "it called the link lost after " +
                                                std::to_string((*lost() - heard).raw) +
                                                " us of silence, not after 1 s");
  probe->expect_unharmed("a silence");
}

void kept(const PacedBench& bench) {
  const auto probe = bench.greeted();
  play(*probe, power_on_changes());
  // Stamps alone, for longer than the silence that would be the end.
  for (const Instant end = probe->now() + kBenchSilence + halved_floor(kNoticed);
       probe->now() < end;) {
    probe->give();
    probe->watch(100_ms, [] { return false; });
  }
  require(!seen(*probe, Channel::kAlarm, static_cast<std::int32_t>(Fault::kLinkLost)),
          "it called the link lost, though stamps were asked for ten times a second");
}

void wrap(const PacedBench& bench) {
  const auto probe = bench.greeted();
  for (int i = 0; i < 65'540; ++i) {
    const std::uint16_t seq = probe->seq();
    require(probe->give_plainly({}).seq == seq, "past inputs 65535 the numbers went wrong");
  }
}

constexpr std::array kChecks{
    PacedCheck{"taken", "each inputs is answered with its number and that of the last outputs",
               taken},
    PacedCheck{"in_turn", "two inputs at once are answered one after the other", in_turn},
    PacedCheck{"clock", "its clock never runs back and keeps within a hundredth of the bench's",
               clock},
    PacedCheck{"outputs", "outputs are numbered, real changes, due in turn, at the pins in time",
               outputs},
    PacedCheck{"instants", "changes with two stamps in one message are two instants", instants},
    PacedCheck{"late", "an input stamped before the last one is taken all the same", late},
    PacedCheck{"silence", "a bench that is silent for 1 s is gone: link_lost", silence},
    PacedCheck{"kept", "a bench that asks for stamps alone is there", kept},
};

constexpr std::array kThorough{
    PacedCheck{"wrap", "inputs 0 follow inputs 65535", wrap},
};

}  // namespace

std::span<const PacedCheck> paced_time_checks() { return kChecks; }
std::span<const PacedCheck> paced_thorough_checks() { return kThorough; }

}  // namespace rimebench
