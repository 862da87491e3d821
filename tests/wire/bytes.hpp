#pragma once

/// What the tests of the link share: byte strings, frames, and a small stream of chance.

#include <cstdint>
#include <initializer_list>
#include <span>
#include <vector>

#include "firmware_sim/wire/frame.hpp"

namespace rimebench::test {

using Bytes = std::vector<std::uint8_t>;

inline Bytes joined(std::initializer_list<Bytes> parts) {
  Bytes all;
  for (const Bytes& part : parts) {
    for (const std::uint8_t byte : part) all.push_back(byte);
  }
  return all;
}

inline Bytes frame_of(const Bytes& bytes) {
  Payload payload;
  for (const std::uint8_t byte : bytes) payload.bytes[payload.size++] = byte;
  FrameBuffer buffer;
  const auto frame = encode_frame(payload, buffer);
  return {frame.begin(), frame.end()};
}

/// Everything but kMore that the bytes bring.
inline std::vector<FrameEvent> feed(FrameReader& reader, std::span<const std::uint8_t> bytes) {
  std::vector<FrameEvent> events;
  for (const std::uint8_t byte : bytes) {
    const FrameEvent event = reader.add(byte);
    if (event != FrameEvent::kMore) events.push_back(event);
  }
  return events;
}
inline std::vector<FrameEvent> feed(FrameReader& reader, const Bytes& bytes) {
  return feed(reader, std::span<const std::uint8_t>(bytes));
}

/// Knuth's 64-bit linear congruential generator (MMIX); its upper half is random enough to break
/// frames.
class Lcg {
 public:
  explicit Lcg(std::uint64_t seed) : state_(seed) {}

  std::uint32_t next() {
    state_ = state_ * 6364136223846793005U + 1442695040888963407U;
    return static_cast<std::uint32_t>(state_ >> 32U);
  }
  std::uint32_t below(std::uint32_t bound) { return next() % bound; }
  std::uint8_t byte() { return static_cast<std::uint8_t>(next() >> 24U); }

 private:
  std::uint64_t state_;
};

/// The bytes with one to three of them changed, lost, doubled or cut off behind.
inline Bytes mutated(Bytes bytes, Lcg& random) {
  for (std::uint32_t left = 1 + random.below(3); left > 0 && !bytes.empty(); --left) {
    const auto at = bytes.begin() + static_cast<std::ptrdiff_t>(
                                        random.below(static_cast<std::uint32_t>(bytes.size())));
    switch (random.below(4)) {
      case 0:
        *at = random.byte();
        break;
      case 1:
        bytes.erase(at);
        break;
      case 2:
        bytes.insert(at, *at);
        break;
      case 3:
        bytes.erase(at, bytes.end());
        break;
    }
  }
  return bytes;
}

}  // namespace rimebench::test
