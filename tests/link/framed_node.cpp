#include "harness/link/framed_node.hpp"

#include <doctest/doctest.h>

#include <functional>
#include <string>
#include <vector>

#include "harness/cli/node_option.hpp"
#include "tests/link/served.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

using Changes = std::vector<SignalChange>;

/// 300 containers 2 ms apart: more inputs than a frame takes.
Changes many_containers() {
  Changes inputs;
  for (int i = 0; i < 300; ++i) {
    inputs.push_back({Instant{2'000 * i}, Channel::kContainerSensor, 1});
    inputs.push_back({Instant{2'000 * i + 400}, Channel::kContainerSensor, 0});
  }
  return inputs;
}

/// Drives any exchange to the end of the run, sending again what was not consumed.
template <class Exchange>
Changes run(Exchange&& exchange, Changes inputs, const Feedback& feedback) {
  const Instant end{1'000'000};
  Changes outputs;
  for (Instant at{}; at < end;) {
    std::erase_if(inputs, [&](const SignalChange& change) { return change.at < at; });
    const Reached reached = exchange(Grant{end, feedback, inputs});
    CHECK(reached.at > at);
    if (!reached.outputs.empty())
      CHECK(reached.at <= reached.outputs.front().at + feedback.lookahead);
    at = reached.at;
    outputs.insert(outputs.end(), reached.outputs.begin(), reached.outputs.end());
  }
  return outputs;
}

Changes run_in_process(const Feedback& feedback) {
  EchoController controller;
  Changes outputs;
  return run(
      [&](const Grant& grant) {
        outputs.clear();
        const Instant at = run_grant(controller, grant.inputs, grant.until, grant.feedback,
                                     [&](SignalChange change) { outputs.push_back(change); });
        return Reached{at, outputs};
      },
      many_containers(), feedback);
}

Changes run_over_tcp(const Feedback& feedback) {
  Served served;
  Connected node(served.address());
  return run([&](const Grant& grant) { return node.exchange(grant); }, many_containers(), feedback);
}

/// What is lost, in words, when a node whose frames are tampered with is asked for 1 ms of run
/// after having come to 7 us.
std::string loss(const Tamper& tamper) {
  Served served(TamperedSession{tamper});
  try {
    Connected node(served.address());
    const Changes inputs{{Instant{5}, Channel::kContainerSensor, 1}};
    CHECK(node.exchange({Instant{7}, kNoFeedback, inputs}).at == Instant{7});
    node.exchange({Instant{1'000}, kNoFeedback, {}});
  } catch (const LinkError& error) {
    return error.what();
  }
  return "nothing";
}

Bytes payload_of(const Bytes& frame) {
  FrameReader reader;
  REQUIRE(feed(reader, frame) == std::vector{FrameEvent::kFrame});
  return {reader.payload().begin(), reader.payload().end()};
}

template <class Message>
Bytes encoded(const Message& message) {
  FrameBuffer buffer;
  const auto frame = encode(message, buffer);
  return {frame.begin(), frame.end()};
}

/// The node's second answer to a grant is another frame.
std::string loss_by_second_answer(const Bytes& other) {
  return loss([&](Bytes frame) {
    ChangeBuffer changes;
    const auto reached = decode_reached(payload_of(frame), changes);
    return reached && reached->seq == 2 ? other : frame;
  });
}

/// The node's answer to the hello is altered.
std::string loss_by_hello_reply(const std::function<void(HelloReplyMessage&)>& alter) {
  return loss([&](Bytes frame) {
    const Bytes payload = payload_of(frame);
    auto reply = decode_hello_reply(payload);
    if (!reply) return frame;
    alter(*reply);
    return encoded(*reply);
  });
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("link: over TCP, cut by frames or by feedback, the outputs are those of the process") {
  const Changes expected = run_in_process(kNoFeedback);
  CHECK(expected.size() == 900);
  CHECK(run_in_process(1'200_us) == expected);
  CHECK(run_over_tcp(kNoFeedback) == expected);
  CHECK(run_over_tcp(1'200_us) == expected);
  CHECK(run_over_tcp(1_us) == expected);
}

TEST_CASE(
    "link: the lookahead runs from the first output of a grant, however many frames it takes") {
  Served served;
  Connected node(served.address());
  Changes inputs{{Instant{0}, Channel::kContainerSensor, 1}};
  for (int i = 1; i < 800; ++i) inputs.push_back({Instant{i}, Channel::kLinePulse, i % 2});
  REQUIRE(inputs.size() > node.capacity());
  const Reached reached = node.exchange({Instant{9'000}, 390_us, inputs});
  CHECK(reached.at == Instant{390});
  CHECK(reached.outputs.size() == 1);
}

TEST_CASE("link: the node's name is known to the bench") {
  Served served;
  const Connected node(served.address());
  CHECK(node.name() == "rimebench");
  CHECK(node.capacity() >= kCapacityMin);
}

TEST_CASE("link: where nobody listens, the address is in the message") {
  std::uint16_t port = 0;
  {
    const SocketServer gone(ListenAddress{"127.0.0.1", 0});
    port = gone.port();
  }
  const std::string address = "tcp:127.0.0.1:" + std::to_string(port);
  CHECK_THROWS_WITH_AS(
      open_node(address),
      ("node at " + address + ": Connection refused; last good simulated time 0 us").c_str(),
      LinkError);
}

TEST_CASE("link: a silent node is given up, and the last good time is told") {
  struct MuteAfterFirst {
    std::span<const std::uint8_t> on_byte(std::uint8_t byte) {
      const auto reply = session.on_byte(byte);
      if (reply.empty() || ++replies > 2) return {};
      return reply;
    }
    bool ended() const { return session.ended(); }
    EchoSession session;
    int replies = 0;
  };
  Served<MuteAfterFirst> served;
  Connected node(served.address(), std::chrono::milliseconds(1000));
  CHECK(node.exchange({Instant{1'234}, kNoFeedback, {}}).at == Instant{1'234});
  try {
    node.exchange({Instant{2'000}, kNoFeedback, {}});
    FAIL("a silent node answered");
  } catch (const LinkError& error) {
    CHECK(holds(error.what(), "no answer for 1000 ms"));
    CHECK(error.last_good() == Instant{1'234});
  }
}

TEST_CASE("link: a node that never stops sending empty frames is given up like a silent one") {
  struct Babbler {
    std::span<const std::uint8_t> on_byte(std::uint8_t) { return zeros; }
    bool ended() const { return false; }
    Bytes zeros = Bytes(3, kDelimiter);
  };
  Served<Babbler> served;
  CHECK_THROWS_AS(Connected(served.address(), std::chrono::milliseconds(40)), LinkError);
}

TEST_CASE("link: a damaged frame, a lost connection or a goodbye ends the run with its cause") {
  CHECK(holds(loss_by_second_answer({0x05, 0x11, 0x22, 0x33, 0x44, 0x00}),
              "a frame arrived damaged; last good simulated time 7 us"));
  FrameBuffer buffer;
  const auto goodbye = encode_goodbye(buffer);
  CHECK(holds(loss_by_second_answer({goodbye.begin(), goodbye.end()}),
              "it said goodbye; last good simulated time 7 us"));
  CHECK(holds(loss_by_second_answer(frame_of({0x42})), "its answer to a grant is not a reached"));

  struct Leaver {
    std::span<const std::uint8_t> on_byte(std::uint8_t) {
      left = true;
      return {};
    }
    bool ended() const { return left; }
    bool left = false;
  };
  Served<Leaver> served;
  CHECK_THROWS_AS(Connected(served.address()), LinkError);
}

TEST_CASE("link: a hello reply of another version, session or size is not accepted") {
  CHECK(holds(loss_by_hello_reply([](HelloReplyMessage& reply) { reply.version = 3; }),
              "it speaks protocol version 3, the bench speaks 2"));
  CHECK(holds(loss_by_hello_reply([](HelloReplyMessage& reply) { reply.nonce ^= 1U; }),
              "it answered a hello of another session"));
  CHECK(holds(loss_by_hello_reply([](HelloReplyMessage& reply) { reply.capacity = 255; }),
              "it takes 255 changes a frame, fewer than the 256"));
}

TEST_CASE("link: a node that refuses a grant is quoted") {
  CHECK(holds(loss_by_second_answer(encoded(RefusedMessage{2, Refusal::kTooMany})),
              "it refused grant 2: more changes than its capacity"));
}

TEST_CASE("link: an answer that cannot be true is not believed") {
  const auto answered = [](std::uint16_t seq, std::int64_t at_us, const Changes& changes) {
    return loss_by_second_answer(encoded(ReachedMessage{seq, Instant{at_us}, changes}));
  };
  const auto valve_at = [](std::int64_t at_us) {
    return Changes{{Instant{at_us}, Channel::kValve, 1}};
  };
  CHECK(holds(answered(3, 1'000, {}), "it answered grant 3 instead of 2"));
  CHECK(holds(answered(2, 1'001, {}), "granted up to 1000 us, it says it reached 1001 us"));
  CHECK(holds(answered(2, 7, {}), "granted up to 1000 us, it says it reached 7 us"));
  CHECK(holds(answered(2, 1'000, {{Instant{10}, Channel::kRunPermit, 1}}),
              "channel 5, which is no output"));
  CHECK(
      holds(answered(2, 1'000, valve_at(6)), "its output at 6 us on channel 8193 is out of order"));
  CHECK(holds(answered(2, 1'000, valve_at(1'000)), "its output at 1000 us on channel 8193"));
  CHECK(answered(2, 1'000, valve_at(999)) == "nothing");
}

TEST_CASE(
    "link: a node that runs on past its first watched output and the lookahead is found out") {
  Served served(TamperedSession([](Bytes frame) {
    ChangeBuffer changes;
    const auto reached = decode_reached(payload_of(frame), changes);
    return reached ? encoded(ReachedMessage{reached->seq, Instant{900}, reached->changes}) : frame;
  }));
  Connected node(served.address());
  const Changes inputs{{Instant{5}, Channel::kContainerSensor, 1}};
  CHECK_THROWS_WITH_AS(
      node.exchange({Instant{900}, 100_us, inputs}),
      doctest::Contains("past its first watched output at 5 us plus the lookahead"), LinkError);
}

TEST_CASE("link: an answer that comes twice is found when the next one is due") {
  CHECK(holds(loss([](Bytes frame) {
                ChangeBuffer changes;
                return decode_reached(payload_of(frame), changes) ? joined({frame, frame}) : frame;
              }),
              "it answered grant 1 instead of 2; last good simulated time 7 us"));
}

TEST_CASE("link: an answer longer than a frame can be, or a hello reply that is none, is damage") {
  Bytes endless(5'000, 0x55);
  endless.push_back(kDelimiter);
  CHECK(holds(loss_by_second_answer(endless), "a frame arrived damaged"));
  CHECK(holds(loss([](const Bytes&) {
                return frame_of({0x02, 0x01});
              }),
              "its answer to the hello is not a hello reply"));
}

TEST_CASE("link: half an answer is no answer") {
  Served served(TamperedSession([](Bytes frame) {
    ChangeBuffer changes;
    if (decode_reached(payload_of(frame), changes)) frame.pop_back();
    return frame;
  }));
  Connected node(served.address(), std::chrono::milliseconds(200));
  CHECK_THROWS_WITH_AS(node.exchange({Instant{7}, kNoFeedback, {}}),
                       doctest::Contains("no answer for 200 ms"), LinkError);
}

TEST_CASE("link: a run goes to the last instant that can travel, and no further") {
  Served served;
  Connected node(served.address());
  CHECK(node.exchange({kNever, kNoFeedback, {}}).at == kLastInstant);
  CHECK_THROWS_WITH_AS(node.exchange({kNever, kNoFeedback, {}}),
                       doctest::Contains("the run is longer than"), LinkError);
}
