#include "firmware_sim/wire/message.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdint>
#include <vector>

#include "tests/wire/bytes.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

Bytes payload_of(std::span<const std::uint8_t> frame) {
  FrameReader reader;
  REQUIRE(feed(reader, frame) == std::vector{FrameEvent::kFrame});
  return {reader.payload().begin(), reader.payload().end()};
}

const std::vector<SignalChange> kChanges{
    {Instant{0}, Channel::kRunPermit, 1},
    {Instant{0}, recipe_channel(5), INT32_MAX},
    {Instant{0}, Channel::kRecipeCommit, INT32_MIN},
    {Instant{1'000'000'000'000}, Channel::kSupplyLevel, -1},
};

/// How many of the decoders take these bytes.
int takers(const Bytes& bytes) {
  ChangeBuffer changes;
  return (decode_hello(bytes) ? 1 : 0) + (decode_hello_reply(bytes) ? 1 : 0) +
         (decode_grant(bytes, changes) ? 1 : 0) + (decode_reached(bytes, changes) ? 1 : 0) +
         (decode_refused(bytes) ? 1 : 0) + (is_goodbye(bytes) ? 1 : 0);
}

}  // namespace

TEST_CASE("message: a grant arrives with every change as it was sent, extreme values included") {
  FrameBuffer frame;
  const GrantMessage sent{65535, kLastInstant, 1_us, kChanges};
  const Bytes payload = payload_of(encode(sent, frame));
  CHECK(message_type(payload) == MessageType::kGrant);
  ChangeBuffer buffer;
  const auto got = decode_grant(payload, buffer);
  REQUIRE(got);
  CHECK(got->seq == 65535);
  CHECK(got->until == kLastInstant);
  CHECK(got->feedback == Feedback{1_us});
  CHECK(std::ranges::equal(got->changes, kChanges));
}

TEST_CASE("message: no feedback travels as two bytes, 0") {
  FrameBuffer frame;
  const Bytes payload = payload_of(encode(GrantMessage{1, Instant{100}, kNoFeedback, {}}, frame));
  CHECK(payload == Bytes{0x03, 0x01, 0x64, 0x00, 0x00});
  ChangeBuffer buffer;
  CHECK(decode_grant(payload, buffer)->feedback == kNoFeedback);
}

TEST_CASE("message: a lookahead longer than the longest run travels as none") {
  FrameBuffer frame;
  const auto lookahead_of = [&](std::int64_t us) {
    ChangeBuffer buffer;
    return decode_grant(payload_of(encode(GrantMessage{1, Instant{100}, Duration{us}, {}}, frame)),
                        buffer)
        ->feedback.lookahead.raw;
  };
  CHECK(lookahead_of(kLastInstant.us) == kLastInstant.us);
  CHECK(lookahead_of(kLastInstant.us + 1) == kNever.us);
}

TEST_CASE("message: a reached written change by change is the one encoded from a list") {
  FrameBuffer frame;
  ReachedWriter writer;
  for (const std::int64_t at_us : {0LL, 300LL, 1'000'000'000'001LL}) {
    writer.clear();
    CHECK(writer.empty());
    for (const SignalChange& change : kChanges) writer.add(change);
    const Bytes listed = payload_of(encode(ReachedMessage{300, Instant{at_us}, kChanges}, frame));
    CHECK(payload_of(writer.encode(300, Instant{at_us}, frame)) == listed);
  }
}

TEST_CASE("message: a reached arrives with every change as it was sent") {
  FrameBuffer frame;
  const Bytes payload = payload_of(encode(ReachedMessage{7, Instant{12345}, kChanges}, frame));
  ChangeBuffer buffer;
  const auto got = decode_reached(payload, buffer);
  REQUIRE(got);
  CHECK(got->seq == 7);
  CHECK(got->at == Instant{12345});
  CHECK(std::ranges::equal(got->changes, kChanges));
}

TEST_CASE("message: a change takes exactly the bytes that change_size foretells") {
  FrameBuffer frame;
  const auto size_with = [&](std::size_t count) {
    return payload_of(encode(ReachedMessage{7, Instant{12345}, {kChanges.data(), count}}, frame))
        .size();
  };
  Instant previous{};
  for (std::size_t i = 0; i < kChanges.size(); ++i) {
    CHECK(size_with(i + 1) - size_with(i) == change_size(previous, kChanges[i]));
    previous = kChanges[i].at;
  }
}

TEST_CASE("message: a node's name and capacity reach the bench") {
  FrameBuffer frame;
  const Bytes name{'d', 'o', 's', 'e', 'r', ' ', '2'};
  const Bytes payload = payload_of(encode(HelloReplyMessage{1, 0xdeadbeef, 340, name}, frame));
  const auto got = decode_hello_reply(payload);
  REQUIRE(got);
  CHECK(got->nonce == 0xdeadbeef);
  CHECK(got->capacity == 340);
  CHECK(std::ranges::equal(got->name, name));
}

TEST_CASE("message: a hello of a later version shows its version, whatever follows it") {
  const auto later = decode_hello(Bytes{0x01, 0x03, 0x99, 0x99, 0x99});
  REQUIRE(later);
  CHECK(later->version == 3);
  CHECK_FALSE(decode_hello(Bytes{0x01, 0x02, 0x07, 0x00}));
}

TEST_CASE("message: an integer longer than it need be, or too large, is refused") {
  CHECK(decode_refused(Bytes{0x06, 0x01, 0x05}));
  CHECK_FALSE(decode_refused(Bytes{0x06, 0x81, 0x00, 0x05}));        // 1 in two bytes
  CHECK_FALSE(decode_refused(Bytes{0x06, 0x80, 0x80, 0x04, 0x05}));  // 65536 is no sequence
  CHECK_FALSE(decode_refused(Bytes{0x06, 0x01, 0x00}));              // no such reason
  CHECK_FALSE(decode_refused(Bytes{0x06, 0x01, 0x0a}));              // nor this
  ChangeBuffer changes;
  CHECK_FALSE(decode_grant(joined({{0x03, 0x01}, Bytes(10, 0xff)}), changes));
}

TEST_CASE("message: times that add up past the end of time are refused") {
  const Bytes last{0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x07};
  const Bytes past{0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 0x08};
  const Bytes empty = joined({{0x03, 0x01}, last, {0x00, 0x00}});
  const Bytes with_one = joined({empty, last, {0x01, 0x02}});
  const Bytes with_one_past = joined({with_one, {0x01, 0x01, 0x00}});
  ChangeBuffer changes;
  CHECK(decode_grant(empty, changes));
  CHECK(decode_grant(with_one, changes));
  CHECK(changes[0].at == kLastInstant);
  CHECK_FALSE(decode_grant(with_one_past, changes));
  CHECK_FALSE(decode_grant(joined({{0x03, 0x01}, past, {0x00, 0x00}}), changes));
  CHECK_FALSE(decode_reached(joined({{0x04, 0x01}, past}), changes));
}

TEST_CASE("message: no message can be cut short or lengthened by a byte and still be one") {
  FrameBuffer frame;
  const std::vector<Bytes> payloads{
      payload_of(encode(HelloMessage{kProtocolVersion, 300}, frame)),
      payload_of(encode(RefusedMessage{300, Refusal::kOrder}, frame)),
      payload_of(encode_goodbye(frame)),
  };
  for (const Bytes& whole : payloads) {
    CHECK(takers(whole) == 1);
    Bytes longer = whole;
    longer.push_back(0x00);
    CHECK(takers(longer) == 0);
    for (Bytes shorter = whole; !shorter.empty();) {
      shorter.pop_back();
      CHECK(takers(shorter) == 0);
    }
  }
  const Bytes grant =
      payload_of(encode(GrantMessage{1, Instant{9}, 1_us, {kChanges.data(), 1}}, frame));
  CHECK(takers(grant) == 1);
  CHECK(takers(Bytes(grant.begin(), grant.end() - 1)) == 0);
  CHECK(takers(Bytes(grant.begin(), grant.end() - 2)) == 0);
}

TEST_CASE("message: random and damaged payloads are taken by one decoder or by none") {
  Lcg random{7};
  FrameBuffer frame;
  const Bytes grant = payload_of(encode(GrantMessage{1, kLastInstant, 1_us, kChanges}, frame));
  int taken = 0;
  for (int i = 0; i < 200'000; ++i) {
    Bytes bytes;
    if (i % 2 == 0) {
      bytes.resize(random.below(kPayloadMax + 1U));
      for (std::uint8_t& byte : bytes) byte = random.byte();
      if (!bytes.empty()) bytes[0] = static_cast<std::uint8_t>(random.below(8));
    } else {
      bytes = mutated(grant, random);
    }
    const int count = takers(bytes);
    CHECK(count <= 1);
    taken += count;
  }
  CHECK(taken > 1000);
}
