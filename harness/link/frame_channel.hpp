#pragma once

/// Frames over a stream: bytes out, one frame after another in.

#include <array>
#include <cstdint>
#include <memory>
#include <span>
#include <string>

#include "firmware_sim/wire/frame.hpp"
#include "harness/link/byte_stream.hpp"

namespace rimebench {

class FrameChannel {
 public:
  explicit FrameChannel(std::unique_ptr<ByteStream> stream) : stream_(std::move(stream)) {}

  /// Any bytes, usually one frame. Throws StreamError, as receive does.
  void send(std::span<const std::uint8_t> bytes, Deadline deadline) {
    stream_->write(bytes, deadline);
  }

  /// Waits for the next frame that is not empty: kFrame if it is intact, kBroken if it is not.
  FrameEvent receive(Deadline deadline);

  /// Of the intact frame last received; valid until the next receive.
  std::span<const std::uint8_t> payload() const { return reader_.payload(); }

  const std::string& name() const { return stream_->name(); }
  bool starts_empty() const { return stream_->starts_empty(); }

 private:
  std::unique_ptr<ByteStream> stream_;
  std::array<std::uint8_t, 4096> received_{};
  std::span<const std::uint8_t> unread_;
  FrameReader reader_;
};

}  // namespace rimebench
