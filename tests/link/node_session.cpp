#include "firmware_sim/port/node_session.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <vector>

#include "firmware_sim/core/dose_controller.hpp"
#include "tests/core/line_on_rails.hpp"
#include "tests/link/echo_controller.hpp"
#include "tests/wire/bytes.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

using Session = NodeSession<EchoController>;
using Changes = std::vector<SignalChange>;

SignalChange container(std::int64_t at_us, std::int32_t value = 1) {
  return {Instant{at_us}, Channel::kContainerSensor, value};
}

/// The payload of the frame with which a session answers these bytes; empty if it is silent.
Bytes answer(Session& session, std::span<const std::uint8_t> bytes) {
  FrameReader reader;
  Bytes payload;
  for (const std::uint8_t byte : bytes) {
    for (const std::uint8_t replied : session.on_byte(byte)) {
      if (reader.add(replied) != FrameEvent::kFrame) continue;
      CHECK(payload.empty());
      payload.assign(reader.payload().begin(), reader.payload().end());
    }
  }
  return payload;
}

template <class Message>
Bytes ask(Session& session, const Message& message) {
  FrameBuffer frame;
  return answer(session, encode(message, frame));
}

void greet(Session& session) {
  REQUIRE(decode_hello_reply(ask(session, HelloMessage{kProtocolVersion, 1})));
}

struct Answer {
  Instant at;
  Changes outputs;
};

Answer grant(Session& session, const GrantMessage& message) {
  ChangeBuffer changes;
  const auto reached = decode_reached(ask(session, message), changes);
  REQUIRE(reached);
  CHECK(reached->seq == message.seq);
  return {reached->at, {reached->changes.begin(), reached->changes.end()}};
}

Refusal refusal(const Bytes& payload) {
  const auto refused = decode_refused(payload);
  REQUIRE(refused);
  return refused->reason;
}

const Changes kOneContainer{container(100), container(300, 0)};

}  // namespace

TEST_CASE("node: it answers a hello with the same nonce and room for a whole recipe") {
  Session session;
  const auto reply = decode_hello_reply(ask(session, HelloMessage{kProtocolVersion, 77}));
  REQUIRE(reply);
  CHECK(reply->version == kProtocolVersion);
  CHECK(reply->nonce == 77);
  CHECK(reply->capacity >= kCapacityMin);
}

TEST_CASE("node: what a grant makes the controller do comes back with the instant reached") {
  Session session;
  greet(session);
  const Answer got = grant(session, {1, Instant{5'000}, kNoFeedback, kOneContainer});
  CHECK(got.at == Instant{5'000});
  CHECK(got.outputs == Changes{{Instant{100}, counter_channel(Counter::kRejected), 1},
                               {Instant{1'100}, Channel::kValve, 1},
                               {Instant{1'600}, Channel::kValve, 0}});
}

TEST_CASE("node: a grant is half-open, a shot due at its very end waits for the next one") {
  Session session;
  greet(session);
  CHECK(grant(session, {1, Instant{1'100}, kNoFeedback, kOneContainer}).outputs.size() == 1);
  const Answer next = grant(session, {2, Instant{1'101}, kNoFeedback, {}});
  CHECK(next.outputs == Changes{{Instant{1'100}, Channel::kValve, 1}});
}

TEST_CASE("node: after its first output it goes no further than the feedback's delay") {
  Session session;
  greet(session);
  const Answer first = grant(session, {1, Instant{5'000}, 150_us, kOneContainer});
  CHECK(first.at == Instant{250});
  CHECK(first.outputs.size() == 1);
  // The falling edge at 300 was not consumed: it comes again.
  const Changes again{container(300, 0)};
  const Answer second = grant(session, {2, Instant{5'000}, 500_us, again});
  CHECK(second.at == Instant{1'600});
  CHECK(second.outputs == Changes{{Instant{1'100}, Channel::kValve, 1}});
}

TEST_CASE("node: an output that brings nothing back stops it nowhere") {
  Session session;
  greet(session);
  OutputSet valve;
  valve.add(Channel::kValve);
  // It counts the container at 100 and goes on; the valve opens at 1 100.
  const Answer got = grant(session, {1, Instant{5'000}, {150_us, valve}, kOneContainer});
  CHECK(got.at == Instant{1'250});
  CHECK(got.outputs.size() == 2);
}

TEST_CASE("node: it forgets what it did not consume") {
  Session session;
  greet(session);
  const Changes two{container(100), container(300, 0), container(400)};
  CHECK(grant(session, {1, Instant{5'000}, 150_us, two}).at == Instant{250});
  const Answer got = grant(session, {2, Instant{5'000}, kNoFeedback, {}});
  CHECK(got.outputs ==
        Changes{{Instant{1'100}, Channel::kValve, 1}, {Instant{1'600}, Channel::kValve, 0}});
}

TEST_CASE("node: it stops early rather than answer with more than a frame holds") {
  Session session;
  greet(session);
  Changes inputs;
  for (int i = 0; i < 170; ++i) inputs.push_back(container(i * 2'000));
  Changes outputs;
  Instant at{};
  const Instant until{2'000'000};
  int answers = 0;
  for (std::uint16_t seq = 1; at < until; ++seq, ++answers) {
    std::erase_if(inputs, [&](const SignalChange& change) { return change.at < at; });
    const Answer got = grant(session, {seq, until, kNoFeedback, inputs});
    CHECK(got.at > at);
    at = got.at;
    outputs.insert(outputs.end(), got.outputs.begin(), got.outputs.end());
  }
  CHECK(answers > 1);
  CHECK(outputs.size() == 170 * 3);
  CHECK(std::ranges::is_sorted(outputs, canonical_before));
}

TEST_CASE("node: however a run is cut into grants, the outputs are the same") {
  Changes inputs;
  for (std::int64_t i = 0; i < 40; ++i) inputs.push_back(container(1'000 + i * 333, i % 2 == 0));
  const auto outputs_of = [&](Lcg& random) {
    Session session;
    greet(session);
    Changes outputs;
    Instant at{};
    for (std::uint16_t seq = 1; at < Instant{20'000}; ++seq) {
      const Instant until = earlier(Instant{20'000}, at + Duration{1 + random.below(3'000)});
      Changes granted;
      for (const SignalChange& change : inputs) {
        if (change.at >= at && change.at < until) granted.push_back(change);
      }
      const Duration lookahead{1 + random.below(2'000)};
      const Answer got = grant(session, {seq, until, lookahead, granted});
      at = got.at;
      outputs.insert(outputs.end(), got.outputs.begin(), got.outputs.end());
    }
    return outputs;
  };
  Lcg random{1};
  const Changes whole = outputs_of(random);
  CHECK(whole.size() == 60);
  for (int i = 0; i < 50; ++i) CHECK(outputs_of(random) == whole);
}

TEST_CASE("node: it refuses what it must not take, says why, and stays where it was") {
  Session session;
  const Instant until{1'000};
  CHECK(refusal(ask(session, HelloMessage{kProtocolVersion + 1, 1})) == Refusal::kVersion);
  CHECK(refusal(ask(session, GrantMessage{1, until, 1_us, {}})) == Refusal::kNoSession);
  greet(session);
  CHECK(refusal(ask(session, GrantMessage{2, until, 1_us, {}})) == Refusal::kSequence);
  CHECK(refusal(ask(session, GrantMessage{1, Instant{0}, 1_us, {}})) == Refusal::kTime);
  CHECK(refusal(ask(session, RefusedMessage{1, Refusal::kTime})) == Refusal::kMessage);
  CHECK(refusal(answer(session, frame_of({0x42}))) == Refusal::kMessage);
  CHECK(refusal(answer(session, Bytes{0x05, 0x11, 0x22, 0x33, 0x44, 0x00})) == Refusal::kDamaged);

  const auto refuses = [&](const Changes& changes) {
    return refusal(ask(session, GrantMessage{1, until, 1_us, changes}));
  };
  CHECK(refuses({container(1'000)}) == Refusal::kOrder);
  CHECK(refuses({container(5), container(5, 0)}) == Refusal::kOrder);
  CHECK(refuses({{Instant{5}, Channel::kRunPermit, 1}, container(5)}) == Refusal::kOrder);
  CHECK(refuses({{Instant{5}, Channel::kValve, 1}}) == Refusal::kChannel);
  CHECK(refuses({{Instant{5}, Channel::kSeam, 1}}) == Refusal::kChannel);

  CHECK(grant(session, {1, until, 1_us, {}}).at == until);
  CHECK(refusal(ask(session, GrantMessage{1, Instant{2'000}, 1_us, {}})) == Refusal::kSequence);
  CHECK(refusal(ask(session, GrantMessage{2, until, 1_us, {}})) == Refusal::kTime);
  const Changes late{container(999)};
  CHECK(refusal(ask(session, GrantMessage{2, Instant{2'000}, 1_us, late})) == Refusal::kOrder);
  CHECK(session.errors().stuffing + session.errors().checksum == 1);
}

TEST_CASE("node: the number after 65535 is 0") {
  Session session;
  greet(session);
  for (std::uint32_t i = 1; i <= 65'537; ++i) {
    const auto seq = static_cast<std::uint16_t>(i);
    CHECK(grant(session, {seq, Instant{i}, 1_us, {}}).at == Instant{i});
  }
}

TEST_CASE("node: a hello begins again with a fresh controller, a goodbye ends the session") {
  Session session;
  greet(session);
  const Changes seen{container(100)};
  CHECK(grant(session, {1, Instant{200}, kNoFeedback, seen}).outputs.size() == 1);
  greet(session);
  CHECK(grant(session, {1, Instant{5'000}, kNoFeedback, {}}).outputs.empty());
  FrameBuffer frame;
  CHECK(answer(session, encode_goodbye(frame)).empty());
  CHECK(session.ended());
  CHECK(refusal(ask(session, GrantMessage{2, Instant{9'000}, 1_us, {}})) == Refusal::kNoSession);
}

TEST_CASE("node: noise between frames is answered at most once a frame and does no harm") {
  Lcg random{99};
  Session session;
  greet(session);
  FrameBuffer frame;
  const auto good = encode(GrantMessage{1, Instant{9'000}, 1_us, kOneContainer}, frame);
  const Bytes sent(good.begin(), good.end());
  int replies = 0;
  for (int i = 0; i < 20'000; ++i) {
    Bytes noise = mutated(sent, random);
    if (noise == sent) continue;
    noise.push_back(kDelimiter);
    for (const std::uint8_t byte : noise) {
      const auto reply = session.on_byte(byte);
      CHECK((reply.empty() || byte == kDelimiter));
      replies += reply.empty() ? 0 : 1;
    }
  }
  CHECK(replies > 10'000);
  CHECK(session.errors().checksum > 100);
}

TEST_CASE("node: a bench that jumps to the end of time, or plays there, does not bring it down") {
  RecipeValues fixed_delay = rails::rotary_recipe();
  fixed_delay.set(Parameter::kLinePulsePitchUm, 0);
  for (const RecipeValues& recipe : {rails::rotary_recipe(), fixed_delay}) {
    NodeSession<DoseController> session;
    const auto run = [&](std::uint16_t seq, Instant until, const Changes& changes) {
      FrameBuffer frame;
      ChangeBuffer buffer;
      Bytes reply;
      for (const std::uint8_t byte :
           encode(GrantMessage{seq, until, kNoFeedback, changes}, frame)) {
        const auto answered = session.on_byte(byte);
        if (!answered.empty()) reply.assign(answered.begin(), answered.end());
      }
      FrameReader reader;
      CHECK(feed(reader, reply) == std::vector{FrameEvent::kFrame});
      const auto reached = decode_reached(reader.payload(), buffer);
      REQUIRE(reached);
      CHECK(reached->at == until);
    };
    FrameBuffer frame;
    for (const std::uint8_t byte : encode(HelloMessage{kProtocolVersion, 1}, frame)) {
      session.on_byte(byte);
    }
    rails::Script line;
    line.started(recipe).belt(0, 400'000, 10'000).container(100'000).container(300'000);
    run(1, Instant{420'000}, line.changes());
    // The belt stands for a year with two containers before the nozzle.
    const std::int64_t late_us = kLastInstant.us - 1'000'000;
    run(2, Instant{late_us}, {});
    rails::Script again;
    again.belt(late_us, late_us + 900'000, 10'000).container(late_us + 100);
    run(3, kLastInstant, again.changes());
  }
}
