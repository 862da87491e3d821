#pragma once

#include <array>
#include <cstdint>
#include <span>

namespace rimebench {

/// CRC-16/IBM-3740, also called CCITT-FALSE (polynomial 0x1021, initial value 0xFFFF, not
/// reflected, no final XOR); its check value over the digits 1 to 9 is 0x29B1. A table of 16
/// entries, as for Crc32.
constexpr std::uint16_t crc16(std::span<const std::uint8_t> bytes) {
  constexpr auto kTable = [] {
    std::array<std::uint16_t, 16> table{};
    for (std::uint32_t i = 0; i < 16; ++i) {
      std::uint32_t remainder = i << 12;
      for (int bit = 0; bit < 4; ++bit) {
        remainder = (remainder << 1) ^ ((remainder & 0x8000U) != 0 ? 0x1021U : 0U);
      }
      table[i] = static_cast<std::uint16_t>(remainder);
    }
    return table;
  }();
  std::uint32_t state = 0xffffU;
  for (const std::uint8_t byte : bytes) {
    state = ((state << 4) ^ kTable[(state >> 12) ^ (byte >> 4U)]) & 0xffffU;
    state = ((state << 4) ^ kTable[(state >> 12) ^ (byte & 0xfU)]) & 0xffffU;
  }
  return static_cast<std::uint16_t>(state);
}

}  // namespace rimebench
