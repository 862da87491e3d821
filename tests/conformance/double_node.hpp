#pragma once

/// Nodes with one thing wrong each, in memory: a good session whose frames pass through a defect on
/// their way in and out.

#include <algorithm>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/port/node_session.hpp"
#include "harness/conformance/battery.hpp"

namespace rimebench::test {

/// What a defect may go by.
struct NodeState {
  std::uint32_t hellos{};          ///< in this connection
  std::uint32_t damaged{};         ///< frames, in this connection
  std::uint32_t recipe_answers{};  ///< in this session
  std::uint16_t next_seq{1};
  Instant reached{};
  std::optional<GrantMessage> grant;  ///< the last one taken; its changes are in `granted`
  Changes granted;
};

struct Defect {
  /// Given a frame that came, whole with its delimiter, and its payload if it is intact: the frames
  /// that the good session gets in its place.
  std::function<Bytes(NodeState&, Bytes frame, const Bytes* payload)> in{};
  /// Given such a frame: what is answered by the defect itself, instead of the session.
  std::function<std::optional<Bytes>(NodeState&, const Bytes& frame, const Bytes* payload)>
      answer{};
  std::function<void(NodeState&, HelloReplyMessage&)> hello_reply{};
  std::function<void(NodeState&, ReachedMessage&, Changes&)> reached{};
  bool forgets_half_frames{false};
  bool deaf_to_goodbye{false};
  bool answers_empty_frames{false};
};

class DoubleStream;

/// A node that serves one connection at a time, as ours does.
struct DoubleNode {
  Defect defect;
  const DoubleStream* serving{nullptr};

  std::unique_ptr<ByteStream> open();
};

class DoubleStream final : public ByteStream {
 public:
  explicit DoubleStream(DoubleNode& node) : node_(node) {}
  ~DoubleStream() override { leave(); }

  void write(std::span<const std::uint8_t> bytes, Deadline) override {
    arrived_.insert(arrived_.end(), bytes.begin(), bytes.end());
    serve();
  }

  std::size_t read(std::span<std::uint8_t> buffer, Deadline) override {
    serve();
    if (answers_.empty()) {
      if (node_.defect.forgets_half_frames) frame_.clear();
      throw StreamError(StreamLoss::kSilent, "silent");
    }
    const std::size_t size = std::min(buffer.size(), answers_.size());
    const auto end = answers_.begin() + static_cast<std::ptrdiff_t>(size);
    std::copy(answers_.begin(), end, buffer.begin());
    answers_.erase(answers_.begin(), end);
    return size;
  }

  const std::string& name() const override { return name_; }

 private:
  void leave() {
    if (node_.serving == this) node_.serving = nullptr;
  }

  void serve() {
    if (node_.serving == nullptr) node_.serving = this;
    if (node_.serving != this) return;
    for (const std::uint8_t byte : std::exchange(arrived_, {})) {
      frame_.push_back(byte);
      if (byte == kDelimiter) take(std::exchange(frame_, {}));
    }
  }

  void take(Bytes frame) {
    FrameReader reader;
    FrameEvent event = FrameEvent::kMore;
    for (const std::uint8_t byte : frame) event = reader.add(byte);
    if (event == FrameEvent::kEmpty && node_.defect.answers_empty_frames) {
      append(framed(RefusedMessage{0, Refusal::kDamaged}));
    }
    if (event == FrameEvent::kBroken) ++state_.damaged;
    const Bytes whole(reader.payload().begin(), reader.payload().end());
    const Bytes* payload = event == FrameEvent::kFrame ? &whole : nullptr;
    if (node_.defect.answer) {
      if (const auto answer = node_.defect.answer(state_, frame, payload)) return append(*answer);
    }
    if (payload != nullptr) note(*payload);
    if (node_.defect.in) frame = node_.defect.in(state_, frame, payload);
    for (const std::uint8_t byte : frame) {
      const auto reply = session_.on_byte(byte);
      if (!reply.empty()) append(altered({reply.begin(), reply.end()}));
    }
    if (session_.ended() && !node_.defect.deaf_to_goodbye) leave();
  }

  void note(const Bytes& payload) {
    ChangeBuffer changes;
    if (decode_hello(payload)) {
      ++state_.hellos;
      state_.recipe_answers = 0;
      state_.next_seq = 1;
      state_.reached = {};
      state_.grant.reset();
    }
    if (const auto grant = decode_grant(payload, changes)) {
      state_.grant = *grant;
      state_.granted.assign(grant->changes.begin(), grant->changes.end());
    }
  }

  Bytes altered(Bytes frame) {
    FrameReader reader;
    for (const std::uint8_t byte : frame) reader.add(byte);
    ChangeBuffer buffer;
    if (auto reply = decode_hello_reply(reader.payload()); reply && node_.defect.hello_reply) {
      node_.defect.hello_reply(state_, *reply);
      return framed(*reply);
    }
    auto reached = decode_reached(reader.payload(), buffer);
    if (!reached) return frame;
    Changes changes(reached->changes.begin(), reached->changes.end());
    if (node_.defect.reached) node_.defect.reached(state_, *reached, changes);
    state_.reached = reached->at;
    state_.next_seq = static_cast<std::uint16_t>(state_.next_seq + 1);
    reached->changes = changes;
    return framed(*reached);
  }

  void append(const Bytes& frame) { answers_.insert(answers_.end(), frame.begin(), frame.end()); }

  DoubleNode& node_;
  NodeState state_;
  NodeSession<DoseController> session_;
  std::string name_{"double"};
  Bytes arrived_;
  Bytes frame_;
  Bytes answers_;
};

inline std::unique_ptr<ByteStream> DoubleNode::open() {
  return std::make_unique<DoubleStream>(*this);
}

}  // namespace rimebench::test
