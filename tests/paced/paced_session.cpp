#include "firmware_sim/port/paced_session.hpp"

#include <doctest/doctest.h>

#include <vector>

#include "tests/core/line_on_rails.hpp"
#include "tests/link/echo_controller.hpp"
#include "tests/wire/bytes.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

/// A clock moved by hand, pins that take their time, and a list of what was sent.
struct Hand {
  Instant clock{1'000'000};
  Duration pins_take{};
  std::vector<Bytes> sent;
  rails::Changes driven;
  Instant now() const { return clock; }
  Instant drive(std::span<const SignalChange> outputs) {
    driven.insert(driven.end(), outputs.begin(), outputs.end());
    return clock + pins_take;
  }
  void send(std::span<const std::uint8_t> frame) { sent.emplace_back(frame.begin(), frame.end()); }
};

Bytes payload_of(const Bytes& frame) {
  FrameReader reader;
  REQUIRE(feed(reader, frame) == std::vector{FrameEvent::kFrame});
  return {reader.payload().begin(), reader.payload().end()};
}

template <class Controller>
struct Node {
  Hand hand;
  PacedSession<Controller, Hand> session{hand};
  std::uint16_t seq = 1;

  Node() { give(HelloMessage{kProtocolVersion, 7}); }

  template <class Message>
  void give(const Message& message) {
    hand.sent.clear();
    FrameBuffer frame;
    for (const std::uint8_t byte : encode(message, frame)) session.on_byte(byte);
  }
  void give(const rails::Changes& inputs) { give(InputsMessage{seq++, inputs}); }
  void at(std::int64_t us) {
    hand.sent.clear();
    hand.clock = Instant{us};
    session.on_time();
  }
  /// All output changes in what was sent last.
  rails::Changes outputs() const {
    rails::Changes found;
    for (const Bytes& frame : hand.sent) {
      ChangeBuffer buffer;
      const Bytes payload = payload_of(frame);
      const auto message = decode_outputs(payload, buffer);
      if (message) found.insert(found.end(), message->changes.begin(), message->changes.end());
    }
    return found;
  }
};

std::optional<Refusal> refusal(const Hand& hand) {
  if (hand.sent.empty()) return std::nullopt;
  const Bytes payload = payload_of(hand.sent.back());
  const auto refused = decode_refused(payload);
  return refused ? std::optional(refused->reason) : std::nullopt;
}

}  // namespace

TEST_CASE("paced node: an input counts from its arrival, an output from its time, late or not") {
  Node<EchoController> node;
  node.hand.clock = Instant{2'000'000};
  node.give({{Instant{77}, Channel::kContainerSensor, 1}});
  CHECK(node.outputs() ==
        rails::Changes{{Instant{2'000'000}, counter_channel(Counter::kRejected), 1}});
  const Bytes payload = payload_of(node.hand.sent.back());
  const auto taken = decode_taken(payload);
  REQUIRE(taken);
  CHECK(taken->received == Instant{2'000'000});
  CHECK(taken->outputs == 1);
  CHECK(node.session.next_wake() == Instant{2'001'000});
  node.at(2'001'030);  // the timer came 30 us late
  ChangeBuffer buffer;
  const Bytes late = payload_of(node.hand.sent.at(0));
  const auto outputs = decode_outputs(late, buffer);
  REQUIRE(outputs);
  CHECK(outputs->seq == 2);
  CHECK(outputs->late == 30_us);
  CHECK(outputs->changes[0] == SignalChange{Instant{2'001'000}, Channel::kValve, 1});
}

TEST_CASE("paced node: an output is as late as the port measured it at the pins") {
  Node<EchoController> node;
  node.hand.pins_take = 7_us;
  node.give({{Instant{5}, Channel::kContainerSensor, 1}});
  node.at(1'001'021);  // 20 us after the opening was due
  ChangeBuffer buffer;
  const Bytes payload = payload_of(node.hand.sent.at(0));
  const auto opened = decode_outputs(payload, buffer);
  REQUIRE(opened);
  CHECK(opened->late == 27_us);
  CHECK(opened->changes[0] == SignalChange{Instant{1'001'001}, Channel::kValve, 1});
  CHECK(node.hand.driven.back() == opened->changes[0]);
}

TEST_CASE("paced node: nothing is due any more by the time of which the bench has heard") {
  Node<EchoController> node;
  node.give(rails::Changes{});
  node.give({{Instant{5}, Channel::kContainerSensor, 1}});  // in the same microsecond
  const rails::Changes outputs = node.outputs();
  REQUIRE(outputs.size() == 1);
  CHECK(outputs[0].at == node.hand.clock + 1_us);
}

TEST_CASE("paced node: inputs of two instants in one frame stay two instants") {
  Node<EchoController> node;
  node.give({{Instant{5}, Channel::kContainerSensor, 1},
             {Instant{9}, Channel::kContainerSensor, 0},
             {Instant{12}, Channel::kContainerSensor, 1}});
  const rails::Changes outputs = node.outputs();
  REQUIRE(outputs.size() == 2);
  CHECK(outputs[0].at < outputs[1].at);
  CHECK(outputs[1].value == 2);
}

TEST_CASE("paced node: a timer that was due before an input fires before it") {
  Node<EchoController> node;
  node.give({{Instant{5}, Channel::kContainerSensor, 1}});
  node.hand.clock = node.hand.clock + 1'300_us;
  node.give({{Instant{9}, Channel::kContainerSensor, 0}});
  CHECK(node.outputs() == rails::Changes{{Instant{1'001'001}, Channel::kValve, 1}});
}

TEST_CASE(
    "paced node: when the bench is silent for a second the valve shuts and the link is lost") {
  Node<DoseController> node;
  rails::Script script;
  script.started(rails::rotary_recipe());
  for (const SignalChange& change : script.changes()) {
    node.hand.clock = later(node.hand.clock, Instant{1'000'000} + (change.at - Instant{}));
    node.give({change});
  }
  const Instant silent = node.hand.clock + kPacedSilenceMax;
  node.at(silent.us - 1);
  CHECK(node.outputs().empty());
  CHECK(node.session.next_wake() == silent);
  node.at(silent.us);
  bool lost = false;
  for (const SignalChange& change : node.outputs()) {
    lost = lost || (change.channel == Channel::kAlarm &&
                    change.value == static_cast<std::int32_t>(Fault::kLinkLost));
  }
  CHECK(lost);
}

TEST_CASE("paced node: what it must not take is refused with the reason") {
  Node<EchoController> node;
  CHECK_FALSE(refusal(node.hand));
  node.give(InputsMessage{2, {}});
  CHECK(refusal(node.hand) == Refusal::kSequence);
  const rails::Changes output{{Instant{1}, Channel::kValve, 1}};
  node.give(InputsMessage{1, output});
  CHECK(refusal(node.hand) == Refusal::kChannel);
  const rails::Changes twice{{Instant{1}, Channel::kLinePulse, 1},
                             {Instant{1}, Channel::kLinePulse, 0}};
  node.give(InputsMessage{1, twice});
  CHECK(refusal(node.hand) == Refusal::kOrder);
  node.give(GrantMessage{1, Instant{9}, 1_us, {}});
  CHECK(refusal(node.hand) == Refusal::kMessage);
  node.give(HelloMessage{kProtocolVersion + 1, 1});
  CHECK(refusal(node.hand) == Refusal::kVersion);
  node.give(InputsMessage{1, {}});
  CHECK_FALSE(refusal(node.hand));
}

TEST_CASE("paced node: without a hello, or after a goodbye, inputs are refused") {
  Hand hand;
  PacedSession<EchoController, Hand> session(hand);
  CHECK(session.next_wake() == kNever);
  FrameBuffer frame;
  for (const std::uint8_t byte : encode(InputsMessage{1, {}}, frame)) session.on_byte(byte);
  CHECK(refusal(hand) == Refusal::kNoSession);
  for (const std::uint8_t byte : encode_goodbye(frame)) session.on_byte(byte);
  CHECK(session.ended());
}
