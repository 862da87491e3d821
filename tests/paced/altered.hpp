#pragma once

/// Frames of a paced session taken apart, and worlds in which they arrive altered.

#include <functional>
#include <optional>
#include <utility>

#include "harness/conformance/probe.hpp"
#include "tests/paced/simulated_wire.hpp"

namespace rimebench::test {

class Frame {
 public:
  explicit Frame(const Bytes& bytes) : bytes_(bytes) {
    FrameEvent event = FrameEvent::kMore;
    for (const std::uint8_t byte : bytes) {
      event = reader_.add(byte);
      if (event != FrameEvent::kMore) break;
    }
    whole_ = event == FrameEvent::kFrame;
  }

  const Bytes& bytes() const { return bytes_; }
  bool whole() const { return whole_; }
  /// Empty if the frame is not whole. Valid as long as the frame, as is all that follows.
  std::span<const std::uint8_t> payload() const {
    return whole_ ? reader_.payload() : std::span<const std::uint8_t>{};
  }
  std::optional<InputsMessage> inputs() const { return decode_inputs(payload(), changes_); }
  std::optional<OutputsMessage> outputs() const { return decode_outputs(payload(), changes_); }

 private:
  Bytes bytes_;
  FrameReader reader_;
  bool whole_{false};
  mutable ChangeBuffer changes_{};
};

inline World altered_hello_reply(std::function<void(HelloReplyMessage&)> alter) {
  World world;
  world.tamper = [alter](int, Bytes bytes) {
    const Frame frame(bytes);
    auto reply = decode_hello_reply(frame.payload());
    if (!reply) return bytes;
    alter(*reply);
    return framed(*reply);
  };
  return world;
}

/// From the nth frame on.
inline World altered_taken(std::function<void(TakenMessage&)> alter, int first = 0) {
  World world;
  world.tamper = [alter, first](int n, Bytes bytes) {
    auto taken = decode_taken(Frame(bytes).payload());
    if (!taken || n < first) return bytes;
    alter(*taken);
    return framed(*taken);
  };
  return world;
}

inline World altered_outputs(std::function<void(OutputsMessage&, Changes&)> alter, int first = 0) {
  World world;
  world.tamper = [alter, first](int n, Bytes bytes) {
    const Frame frame(bytes);
    auto out = frame.outputs();
    if (!out || n < first) return bytes;
    Changes changes(out->changes.begin(), out->changes.end());
    alter(*out, changes);
    out->changes = changes;
    return framed(*out);
  };
  return world;
}

}  // namespace rimebench::test
