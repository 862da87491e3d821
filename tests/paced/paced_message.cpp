#include "firmware_sim/wire/paced_message.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <vector>

#include "tests/wire/bytes.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

Bytes payload_of(std::span<const std::uint8_t> frame) {
  FrameReader reader;
  for (const std::uint8_t byte : frame) reader.add(byte);
  return {reader.payload().begin(), reader.payload().end()};
}

/// How many of the decoders take these bytes.
int takers(const Bytes& bytes) {
  ChangeBuffer changes;
  return (decode_inputs(bytes, changes) ? 1 : 0) + (decode_taken(bytes) ? 1 : 0) +
         (decode_outputs(bytes, changes) ? 1 : 0);
}

const std::vector<SignalChange> kOneInstant{{Instant{70'000}, Channel::kValve, 1},
                                            {Instant{70'000}, Channel::kMode, -5}};

}  // namespace

TEST_CASE("paced message: each arrives as it was sent") {
  FrameBuffer frame;
  ChangeBuffer buffer;
  const Bytes in = payload_of(encode(InputsMessage{65535, kOneInstant}, frame));
  const auto inputs = decode_inputs(in, buffer);
  REQUIRE(inputs);
  CHECK(inputs->seq == 65535);
  CHECK(std::ranges::equal(inputs->changes, kOneInstant));
  const Bytes answer = payload_of(encode(TakenMessage{3, Instant{9'000}, kLastInstant, 7}, frame));
  const auto taken = decode_taken(answer);
  REQUIRE(taken);
  CHECK(taken->seq == 3);
  CHECK(taken->received == Instant{9'000});
  CHECK(taken->replied == kLastInstant);
  CHECK(taken->outputs == 7);
  const Bytes out = payload_of(encode(OutputsMessage{4, 12_us, kOneInstant}, frame));
  const auto outputs = decode_outputs(out, buffer);
  REQUIRE(outputs);
  CHECK(outputs->seq == 4);
  CHECK(outputs->late == 12_us);
  CHECK(std::ranges::equal(outputs->changes, kOneInstant));
}

TEST_CASE("paced message: outputs are of one instant, and there is at least one") {
  FrameBuffer frame;
  CHECK(takers(payload_of(encode(OutputsMessage{1, 0_us, {}}, frame))) == 0);
  const std::vector<SignalChange> two{{Instant{1}, Channel::kValve, 1},
                                      {Instant{2}, Channel::kValve, 0}};
  CHECK(takers(payload_of(encode(OutputsMessage{1, 0_us, two}, frame))) == 0);
  CHECK(takers(payload_of(encode(InputsMessage{1, two}, frame))) == 1);
}

TEST_CASE("paced message: random and damaged payloads are taken by one decoder or by none") {
  Lcg random{11};
  FrameBuffer frame;
  const Bytes outputs = payload_of(encode(OutputsMessage{300, 5_us, kOneInstant}, frame));
  int taken = 0;
  for (int i = 0; i < 50'000; ++i) {
    Bytes bytes = mutated(outputs, random);
    if (i % 2 == 0) {
      bytes.resize(random.below(40));
      for (std::uint8_t& byte : bytes) byte = random.byte();
      if (!bytes.empty()) bytes[0] = static_cast<std::uint8_t>(6 + random.below(5));
    }
    const int count = takers(bytes);
    CHECK(count <= 1);
    taken += count;
  }
  CHECK(taken > 100);
}
