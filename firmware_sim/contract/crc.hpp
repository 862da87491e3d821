#pragma once

#include <array>
#include <cstdint>
#include <span>

namespace rimebench {

/// CRC-32/ISO-HDLC (reflected 0x04C11DB7, initial and final XOR 0xFFFFFFFF), fed in pieces.
/// A table of 16 entries: small enough for a microcontroller, fast enough for a link.
class Crc32 {
 public:
  constexpr void add(std::uint8_t byte) {
    state_ = kTable[(state_ ^ byte) & 0xfU] ^ (state_ >> 4);
    state_ = kTable[(state_ ^ (static_cast<std::uint32_t>(byte) >> 4)) & 0xfU] ^ (state_ >> 4);
  }
  constexpr void add(std::span<const std::uint8_t> bytes) {
    for (const std::uint8_t byte : bytes) add(byte);
  }
  constexpr void add_little_endian(std::int32_t value) {
    const auto bits = static_cast<std::uint32_t>(value);
    for (int shift = 0; shift < 32; shift += 8) add(static_cast<std::uint8_t>(bits >> shift));
  }
  constexpr std::uint32_t value() const { return ~state_; }

 private:
  static constexpr auto kTable = [] {
    std::array<std::uint32_t, 16> table{};
    for (std::uint32_t i = 0; i < 16; ++i) {
      std::uint32_t remainder = i;
      for (int bit = 0; bit < 4; ++bit) {
        remainder = (remainder >> 1) ^ ((remainder & 1U) != 0 ? 0xedb88320U : 0U);
      }
      table[i] = remainder;
    }
    return table;
  }();
  std::uint32_t state_{0xffffffffU};
};

constexpr std::uint32_t crc32(std::span<const std::uint8_t> bytes) {
  Crc32 crc;
  crc.add(bytes);
  return crc.value();
}

}  // namespace rimebench
