#include <array>
#include <initializer_list>

#include "firmware_sim/wire/cobs.hpp"
#include "harness/conformance/exercise.hpp"
#include "harness/conformance/paced_checks.hpp"

namespace rimebench {

namespace {

constexpr Refusing kDamaged{Refusal::kDamaged, 0};
// Whether what is malformed is still an Inputs, with a number, is for the node to say.
constexpr Refusing kMalformed{Refusal::kMessage};

Bytes inputs_frame(std::uint16_t seq, const Changes& changes = {}) {
  return framed(InputsMessage{seq, changes});
}

void hello(const PacedBench& bench) { check_hello(bench, "at once"); }

void version(const PacedBench& bench) {
  const auto probe = bench.greeted();
  probe->expect_refusal(framed(HelloMessage{kProtocolVersion + 1, 5}), {Refusal::kVersion, 0},
                        "a hello of version 3");
  probe->expect_unharmed("a hello of version 3");
}

void no_session(const PacedBench& bench) {
  const auto probe = bench.connect();
  // A serial line has no beginning: the last session is still there.
  if (!probe->starts_empty()) probe->send(framed_goodbye());
  probe->expect_refusal(inputs_frame(1), {Refusal::kNoSession, 1}, "inputs without a hello");
  probe->greet();
  probe->expect_unharmed("inputs without a hello");
}

void fresh(const PacedBench& bench) {
  const auto probe = bench.greeted();
  for (int session = 1; session <= 2; ++session) {
    for (const SignalChange& change : power_on_changes()) probe->give({&change, 1});
    const std::string what = "in session " + std::to_string(session) + " of one connection ";
    require(!probe->outputs().empty(), what + "the power-on brought no output");
    require(probe->outputs().front().seq == 1,
            what + "its outputs begin with number " + std::to_string(probe->outputs().front().seq));
    probe->greet();
  }
}

void goodbye(const PacedBench& bench) {
  const auto first = bench.greeted();
  first->send(framed_goodbye());
  first->expect_gone(inputs_frame(1), "inputs after a goodbye");
  // Our end of the old connection is still open: it is the node that must have closed it.
  if (first->starts_empty()) {
    bench.greeted()->expect_unharmed("the goodbye of another bench");
  } else {
    first->greet();
  }
}

void lockstep(const PacedBench& bench) {
  const auto probe = bench.greeted();
  probe->expect_refusal(framed(GrantMessage{1, Instant{10}, Duration{1}, {}}), kMalformed,
                        "a grant, which is of lockstep");
  probe->expect_unharmed("a grant");
}

void checksum(const PacedBench& bench) {
  const auto probe = bench.greeted();
  Bytes plain{0x07, 0x01, 0x12, 0x34};  // inputs that would be taken, but for their checksum
  Bytes frame(cobs_size_max(plain.size()));
  frame.resize(cobs_encode(plain, frame));
  frame.push_back(kDelimiter);
  probe->expect_refusal(frame, kDamaged, "inputs with a wrong checksum");
  probe->expect_unharmed("inputs with a wrong checksum");
}

void truncated(const PacedBench& bench) {
  const auto probe = bench.greeted();
  const Bytes whole = inputs_frame(probe->seq(), {{Instant{1'000}, Channel::kLinePulse, 1}});
  for (std::size_t size = 1; size + 1 < whole.size(); ++size) {
    Bytes cut(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(size));
    cut.push_back(kDelimiter);
    probe->expect_refusal(cut, kDamaged, "the first " + std::to_string(size) + " bytes of inputs");
  }
  probe->expect_unharmed("frames cut short");
}

void oversized(const PacedBench& bench) {
  const auto probe = bench.greeted();
  for (const std::size_t size : {kFrameMax, std::size_t{5'000}}) {
    Bytes frame(size, 0x55);
    frame.push_back(kDelimiter);
    const std::string what = std::to_string(size) + " bytes without an end of frame";
    probe->expect_refusal(frame, kDamaged, what);
    probe->expect_unharmed(what);
  }
}

void malformed(const PacedBench& bench) {
  const auto probe = bench.greeted();
  const auto refused = [&](const Bytes& payload, const std::string& what) {
    probe->expect_refusal(framed_payload(payload), kMalformed, what);
  };
  refused({0x42}, "a message of type 0x42");
  refused({0x08, 0x01, 0x0a, 0x00, 0x00}, "a taken, which only nodes send");
  refused({0x07}, "inputs without a number");
  refused({0x07, 0x01, 0x00, 0x01}, "inputs whose change has no value");
  refused({0x07, 0x81, 0x00}, "a number in more bytes than it needs");
  refused({0x05, 0x00}, "a goodbye with a byte behind it");
  probe->expect_unharmed("malformed messages");
}

void empty(const PacedBench& bench) {
  const auto probe = bench.greeted();
  probe->send(Bytes(1'000, kDelimiter));
  probe->expect_unharmed("a thousand empty frames");
}

void sequence(const PacedBench& bench) {
  const auto probe = bench.greeted();
  probe->give();
  for (const std::uint16_t seq : std::initializer_list<std::uint16_t>{3, 0, 65'535}) {
    probe->expect_refusal(inputs_frame(seq), {Refusal::kSequence, seq},
                          "inputs " + std::to_string(seq) + " after inputs 1");
  }
  probe->expect_unharmed("numbers that do not follow");
}

void old(const PacedBench& bench) {
  const auto probe = bench.greeted();
  for (int i = 0; i < 5; ++i) probe->give();
  for (std::uint16_t seq = 1; seq <= 5; ++seq) {
    probe->expect_refusal(inputs_frame(seq), {Refusal::kSequence, seq},
                          "inputs " + std::to_string(seq) + " for the second time");
  }
  probe->expect_unharmed("old numbers");
}

void order(const PacedBench& bench) {
  const auto probe = bench.greeted();
  const auto refused = [&](const Changes& changes, const std::string& what) {
    probe->expect_refusal(inputs_frame(1, changes), {Refusal::kOrder, 1}, what);
  };
  const SignalChange permit{Instant{500}, Channel::kRunPermit, 1};
  refused({permit, {Instant{500}, Channel::kContainerSensor, 1}},
          "two changes of one instant with falling channels");
  refused({permit, {Instant{500}, Channel::kRunPermit, 0}},
          "two changes of one channel at one instant");
  probe->expect_unharmed("changes out of order");
}

void channel(const PacedBench& bench) {
  const auto probe = bench.greeted();
  for (const Channel wrong : {Channel::kValve, Channel::kValvePin}) {
    probe->expect_refusal(inputs_frame(1, {{Instant{500}, wrong, 1}}), {Refusal::kChannel, 1},
                          "a change on channel " + std::to_string(number(wrong)));
  }
  probe->expect_unharmed("changes on channels that are no inputs");
}

constexpr std::array kChecks{
    PacedCheck{"hello", "a hello is answered with version 2, room for 256 changes and a name",
               hello},
    PacedCheck{"nonce", "a hello reply carries the nonce of its hello", check_nonce<PacedBench>},
    PacedCheck{"version", "a hello of another version is refused and changes nothing", version},
    PacedCheck{"no_session", "inputs without a hello are refused", no_session},
    PacedCheck{"fresh", "a hello begins again, its outputs with number 1", fresh},
    PacedCheck{"goodbye", "a goodbye ends the session; the next bench is served", goodbye},
    PacedCheck{"lockstep", "a grant is no message for a paced node", lockstep},
    PacedCheck{"checksum", "a frame with a wrong checksum is refused as damaged", checksum},
    PacedCheck{"truncated", "a frame cut short is refused as damaged, wherever it is cut",
               truncated},
    PacedCheck{"oversized", "an endless frame is refused once, and the next one is taken",
               oversized},
    PacedCheck{"malformed", "an intact frame that is no message for a paced node is refused",
               malformed},
    PacedCheck{"empty", "empty frames are ignored", empty},
    PacedCheck{"sequence", "inputs whose number does not follow the last one are refused",
               sequence},
    PacedCheck{"old", "inputs sent twice are refused the second time", old},
    PacedCheck{"order", "inputs out of canonical order are refused", order},
    PacedCheck{"channel", "inputs on channels that are no inputs are refused", channel},
};

}  // namespace

std::span<const PacedCheck> paced_frame_checks() { return kChecks; }

}  // namespace rimebench
