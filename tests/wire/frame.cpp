#include "firmware_sim/wire/frame.hpp"

#include <doctest/doctest.h>

#include <cstdint>
#include <vector>

#include "tests/wire/bytes.hpp"

using namespace rimebench;
using namespace rimebench::test;

TEST_CASE("frame: a payload that holds zeros arrives as it was sent, and 0x00 only ends it") {
  const Bytes payload{0x03, 0x00, 0x00, 0xff, 0x00};
  const Bytes frame = frame_of(payload);
  for (std::size_t i = 0; i + 1 < frame.size(); ++i) CHECK(frame[i] != 0);
  CHECK(frame.back() == 0);

  FrameReader reader;
  CHECK(feed(reader, frame) == std::vector{FrameEvent::kFrame});
  CHECK(Bytes(reader.payload().begin(), reader.payload().end()) == payload);
  CHECK(reader.errors() == FrameErrors{});
}

TEST_CASE("frame: the longest payload fits a frame, of whatever bytes it consists") {
  for (const int byte : {0x00, 0x01, 0xff}) {
    const Bytes payload(kPayloadMax, static_cast<std::uint8_t>(byte));
    FrameReader reader;
    CHECK(feed(reader, frame_of(payload)) == std::vector{FrameEvent::kFrame});
    CHECK(Bytes(reader.payload().begin(), reader.payload().end()) == payload);
  }
}

TEST_CASE("frame: every single flipped bit is noticed") {
  const Bytes frame = frame_of({0x03, 0x01, 0x00, 0x00, 0x12, 0x34});
  for (std::size_t i = 0; i < frame.size(); ++i) {
    for (int bit = 0; bit < 8; ++bit) {
      Bytes damaged = frame;
      damaged[i] = static_cast<std::uint8_t>(damaged[i] ^ (1U << bit));
      FrameReader reader;
      damaged.push_back(kDelimiter);
      for (const FrameEvent event : feed(reader, damaged)) CHECK(event != FrameEvent::kFrame);
    }
  }
}

TEST_CASE("frame: each way of being broken has its own counter, and the next frame is read") {
  const Bytes good = frame_of({0x05});
  const Bytes cut(good.begin() + 1, good.end());  // 0x05 is now read as a block of four bytes
  Bytes wrong = good;
  wrong[2] = static_cast<std::uint8_t>(wrong[2] ^ 0x80U);

  FrameReader reader;
  CHECK(feed(reader, {0x00}) == std::vector{FrameEvent::kEmpty});
  CHECK(feed(reader, cut) == std::vector{FrameEvent::kBroken});
  CHECK(feed(reader, {0x03, 0x11, 0x22, 0x00}) == std::vector{FrameEvent::kBroken});
  CHECK(feed(reader, wrong) == std::vector{FrameEvent::kBroken});
  Bytes endless(5000, 0x02);
  endless.push_back(kDelimiter);
  CHECK(feed(reader, endless) == std::vector{FrameEvent::kBroken});
  CHECK(reader.errors() ==
        FrameErrors{.empty = 1, .oversized = 1, .stuffing = 1, .too_short = 1, .checksum = 1});
  CHECK(feed(reader, good) == std::vector{FrameEvent::kFrame});
  CHECK(reader.payload().size() == 1);
}

TEST_CASE("frame: random bytes and damaged frames are dropped and counted, one for each 0x00") {
  Lcg random{20240611};
  FrameReader reader;
  std::uint32_t delimiters = 0;
  std::uint32_t frames = 0;
  const auto take = [&](std::uint8_t byte) {
    delimiters += byte == kDelimiter ? 1U : 0U;
    const FrameEvent event = reader.add(byte);
    CHECK((event == FrameEvent::kMore) == (byte != kDelimiter));
    if (event == FrameEvent::kFrame) {
      ++frames;
      CHECK(reader.payload().size() <= kPayloadMax);
    }
  };
  for (int i = 0; i < 300'000; ++i) take(random.byte());
  for (int i = 0; i < 3'000; ++i) {
    Bytes payload(1 + random.below(200));
    for (std::uint8_t& byte : payload) byte = random.byte();
    for (const std::uint8_t byte : mutated(frame_of(payload), random)) take(byte);
    take(kDelimiter);
  }
  const FrameErrors& errors = reader.errors();
  CHECK(frames + errors.empty + errors.oversized + errors.stuffing + errors.too_short +
            errors.checksum ==
        delimiters);
  CHECK(errors.stuffing > 1000);
  CHECK(errors.checksum > 100);
}
