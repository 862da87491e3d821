#pragma once

/// A node at the other end of a stream, in lockstep: one session code for every kind of link.
/// PROTOCOL.md in firmware_sim/wire has the bytes.

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "firmware_sim/wire/message.hpp"
#include "harness/link/frame_channel.hpp"
#include "harness/link/node.hpp"

namespace rimebench {

/// Differs from one session to the next, which is all it is for.
std::uint32_t fresh_nonce();

/// Says hello; says goodbye when destroyed. A grant whose inputs exceed one frame travels as
/// several, each to a smaller instant, and comes back as one; where the node stops early in one of
/// them, that is how far the whole exchange came. Nothing is ever sent twice and no connection is
/// made anew: whatever goes wrong ends the session with a LinkError.
class FramedNode : public Node {
 public:
  /// Throws LinkError if what answers does not speak this protocol.
  explicit FramedNode(std::unique_ptr<ByteStream> stream,
                      std::chrono::milliseconds silence_max = kSilenceMax);
  ~FramedNode() override;

  Reached exchange(const Grant& grant) override;

  /// A hello in a session begins it again, from power-on.
  void restart(Instant at) override;

  /// The most changes the node takes in one frame. Fewer may fit: a frame is limited in bytes too.
  std::size_t capacity() const override { return capacity_; }

  /// What the node calls itself.
  const std::string& name() const { return name_; }

 private:
  void greet();
  void take(const HelloReplyMessage& reply, std::uint32_t nonce);
  bool is_left_over(FrameEvent event, std::uint32_t nonce) const;
  ReachedMessage ask(const GrantMessage& grant);
  void check(const GrantMessage& grant, const ReachedMessage& reached) const;
  void send(std::span<const std::uint8_t> bytes);
  FrameEvent receive();
  std::span<const std::uint8_t> answer(FrameEvent event) const;
  void start_watch() { answer_due_ = deadline_in(silence_max_); }
  [[noreturn]] void lose(const StreamError& error) const;
  [[noreturn]] void lose(const std::string& what) const;

  FrameChannel channel_;
  std::chrono::milliseconds silence_max_;
  Deadline answer_due_;
  FrameBuffer frame_{};
  ChangeBuffer changes_{};
  std::vector<SignalChange> outputs_;
  std::string name_;
  std::size_t capacity_{};
  std::uint16_t seq_{1};
  Instant reached_{};
};

}  // namespace rimebench
