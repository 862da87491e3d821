#include "firmware_sim/wire/frame.hpp"

#include "firmware_sim/units/demand.hpp"
#include "firmware_sim/wire/crc16.hpp"

namespace rimebench {

std::span<const std::uint8_t> encode_frame(Payload& payload, std::size_t begins,
                                           FrameBuffer& frame) {
  DEMAND(begins < payload.size && payload.size <= kPayloadMax);
  const std::span<const std::uint8_t> bytes{payload.bytes.data(), payload.size + kChecksumBytes};
  const std::uint16_t crc = crc16(bytes.subspan(begins, payload.size - begins));
  payload.bytes[payload.size] = static_cast<std::uint8_t>(crc & 0xffU);
  payload.bytes[payload.size + 1] = static_cast<std::uint8_t>(crc >> 8U);
  const std::size_t size = cobs_encode(bytes.subspan(begins), frame);
  frame[size] = kDelimiter;
  return {frame.data(), size + 1};
}

FrameEvent FrameReader::add(std::uint8_t byte) {
  if (byte != kDelimiter) {
    if (size_ < bytes_.size()) bytes_[size_] = byte;
    if (size_ <= bytes_.size()) ++size_;
    return FrameEvent::kMore;
  }
  const std::size_t size = size_;
  size_ = 0;
  payload_size_ = 0;
  return finish(size);
}

FrameEvent FrameReader::finish(std::size_t size) {
  if (size == 0) {
    ++errors_.empty;
    return FrameEvent::kEmpty;
  }
  if (size > bytes_.size()) {
    ++errors_.oversized;
    return FrameEvent::kBroken;
  }
  const auto plain = cobs_decode({bytes_.data(), size}, bytes_);
  if (!plain) {
    ++errors_.stuffing;
    return FrameEvent::kBroken;
  }
  if (*plain <= kChecksumBytes) {
    ++errors_.too_short;
    return FrameEvent::kBroken;
  }
  if (*plain > kPayloadMax + kChecksumBytes) {
    ++errors_.oversized;
    return FrameEvent::kBroken;
  }
  const std::size_t payload = *plain - kChecksumBytes;
  const auto sent = static_cast<std::uint16_t>(bytes_[payload] | (bytes_[payload + 1] << 8U));
  if (crc16({bytes_.data(), payload}) != sent) {
    ++errors_.checksum;
    return FrameEvent::kBroken;
  }
  payload_size_ = payload;
  return FrameEvent::kFrame;
}

}  // namespace rimebench
