#pragma once

/// The integers inside a payload: LEB128, seven bits a byte, least significant first, top bit set
/// on all bytes but the last. Signed ones are zig-zag first: 0, -1, 1, -2 become 0, 1, 2, 3.

#include <bit>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>

#include "firmware_sim/units/demand.hpp"
#include "firmware_sim/wire/frame.hpp"

namespace rimebench {

/// Every integer of the protocol is below 2^63.
inline constexpr std::size_t kVarintBytesMax = 9;

constexpr std::size_t varint_size(std::uint64_t value) {
  return value == 0 ? 1 : (static_cast<std::size_t>(std::bit_width(value)) + 6) / 7;
}

constexpr std::uint32_t zigzag(std::int32_t value) {
  const auto bits = static_cast<std::uint32_t>(value);
  return (bits << 1) ^ (value < 0 ? 0xffffffffU : 0U);
}

constexpr std::int32_t unzigzag(std::uint32_t bits) {
  return static_cast<std::int32_t>((bits >> 1) ^ ((bits & 1U) != 0 ? 0xffffffffU : 0U));
}

constexpr void put_byte(Payload& payload, std::uint8_t byte) {
  DEMAND(payload.size < kPayloadMax);
  payload.bytes[payload.size++] = byte;
}

constexpr void put_varint(Payload& payload, std::uint64_t value) {
  DEMAND(value >> 63 == 0);
  for (; value >= 0x80; value >>= 7) put_byte(payload, static_cast<std::uint8_t>(value | 0x80U));
  put_byte(payload, static_cast<std::uint8_t>(value));
}

/// Reads a payload from front to back. After the first thing that does not fit, whole() is false
/// and every further read gives 0: a message is read in one go and asked once, at the end.
class PayloadReader {
 public:
  explicit constexpr PayloadReader(std::span<const std::uint8_t> bytes) : rest_(bytes) {}

  constexpr std::uint8_t byte() {
    if (rest_.empty()) return static_cast<std::uint8_t>(fail());
    const std::uint8_t value = rest_.front();
    rest_ = rest_.subspan(1);
    return value;
  }

  /// An integer of at most `max`, in its shortest form.
  constexpr std::uint64_t varint(std::uint64_t max) {
    std::uint64_t value = 0;
    for (std::size_t i = 0; i < kVarintBytesMax; ++i) {
      if (rest_.empty()) return fail();
      const std::uint8_t next = byte();
      value |= static_cast<std::uint64_t>(next & 0x7fU) << (7 * i);
      if (next < 0x80) {
        const bool shortest = next != 0 || i == 0;
        return shortest && value <= max ? value : fail();
      }
    }
    return fail();
  }

  constexpr bool at_end() const { return rest_.empty(); }
  constexpr std::span<const std::uint8_t> rest() const { return rest_; }
  constexpr bool whole() const { return whole_; }

  constexpr std::uint64_t fail() {
    whole_ = false;
    rest_ = {};
    return 0;
  }

 private:
  std::span<const std::uint8_t> rest_;
  bool whole_{true};
};

}  // namespace rimebench
