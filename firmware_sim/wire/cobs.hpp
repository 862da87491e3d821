#pragma once

/// Consistent overhead byte stuffing (Cheshire and Baker 1999): the same bytes without a single
/// 0x00, so that 0x00 can end a frame. The result is a chain of blocks, each a code byte and code -
/// 1 bytes; a block whose code is below 0xFF stands for its bytes and a 0x00, except the last.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>

namespace rimebench {

/// The most bytes that `size` bytes become.
constexpr std::size_t cobs_size_max(std::size_t size) {
  return size == 0 ? 1 : size + (size + 253) / 254;
}

/// Writes the stuffed form of `bytes`, without a delimiter, and returns its length. `out` holds at
/// least cobs_size_max(bytes.size()) bytes and does not overlap `bytes`.
std::size_t cobs_encode(std::span<const std::uint8_t> bytes, std::span<std::uint8_t> out);

/// Writes the bytes that `stuffed` stands for and returns their number; nothing if it holds a 0x00,
/// is empty or ends inside a block. `out` holds at least stuffed.size() bytes and may be the same
/// memory as `stuffed`.
std::optional<std::size_t> cobs_decode(std::span<const std::uint8_t> stuffed,
                                       std::span<std::uint8_t> out);

}  // namespace rimebench
