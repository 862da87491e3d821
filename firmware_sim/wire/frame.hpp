#pragma once

/// Frames: how one message travels as bytes.
///   payload ─> payload + CRC-16, little-endian ─> byte stuffing ─> + 0x00
/// A receiver that has lost its place finds it again behind the next 0x00. PROTOCOL.md has the
/// bytes.

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "firmware_sim/wire/cobs.hpp"

namespace rimebench {

inline constexpr std::size_t kPayloadMax = 2048;
inline constexpr std::size_t kChecksumBytes = 2;
inline constexpr std::size_t kStuffedMax = cobs_size_max(kPayloadMax + kChecksumBytes);
inline constexpr std::size_t kFrameMax = kStuffedMax + 1;
inline constexpr std::uint8_t kDelimiter = 0;

/// A payload under construction: the message's bytes, then encode_frame makes it a frame.
struct Payload {
  std::array<std::uint8_t, kPayloadMax + kChecksumBytes> bytes{};
  std::size_t size{};
};

/// Memory for one whole frame, owned by whoever sends it.
using FrameBuffer = std::array<std::uint8_t, kFrameMax>;

/// Puts the checksum behind the payload, whose first `begins` bytes are not part of it, and writes
/// the frame. The span lies in `frame`.
std::span<const std::uint8_t> encode_frame(Payload& payload, std::size_t begins,
                                           FrameBuffer& frame);
inline std::span<const std::uint8_t> encode_frame(Payload& payload, FrameBuffer& frame) {
  return encode_frame(payload, 0, frame);
}

/// What one received byte brought.
enum class FrameEvent : std::uint8_t {
  kMore,    ///< nothing yet
  kFrame,   ///< it ended an intact frame: see FrameReader::payload
  kEmpty,   ///< a delimiter with nothing before it
  kBroken,  ///< it ended a frame that is damaged: see FrameReader::errors
};

/// Why frames were dropped. Counters only grow.
struct FrameErrors {
  std::uint32_t empty{};      ///< nothing between two delimiters
  std::uint32_t oversized{};  ///< longer than any frame can be
  std::uint32_t stuffing{};   ///< not a chain of whole blocks
  std::uint32_t too_short{};  ///< no room for a payload and its checksum
  std::uint32_t checksum{};   ///< the CRC-16 differs

  friend constexpr bool operator==(const FrameErrors&, const FrameErrors&) = default;
};

/// Takes a stream of bytes apart into payloads. Any bytes at all may come: what is not an intact
/// frame is counted and dropped.
class FrameReader {
 public:
  FrameEvent add(std::uint8_t byte);

  /// The payload of the frame just ended; valid until the next add.
  std::span<const std::uint8_t> payload() const { return {bytes_.data(), payload_size_}; }
  const FrameErrors& errors() const { return errors_; }

 private:
  FrameEvent finish(std::size_t size);

  std::array<std::uint8_t, kStuffedMax> bytes_{};
  std::size_t size_{};  // bytes since the last delimiter; one past the room once oversized
  std::size_t payload_size_{};
  FrameErrors errors_{};
};

}  // namespace rimebench
