#pragma once

/// A node's end of a link: bytes in, bytes out, whatever carries them.
///   byte ─> FrameReader ─> message ─> grant_rules ─> run_grant(controller) ─> Reached
/// Freestanding like the core: every buffer is a member, nothing is thrown. Holds about 9 kB
/// beside the controller.

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>

#include "firmware_sim/core/grant.hpp"
#include "firmware_sim/core/outputs.hpp"
#include "firmware_sim/port/grant_rules.hpp"
#include "firmware_sim/wire/message.hpp"

namespace rimebench {

/// What a controller may put out in one instant always fits one reply, since a reply cannot end
/// inside an instant.
inline constexpr std::size_t kInstantBytesMax = kTimeBytesMax + kOutputChannels * (1 + 2 + 5);
static_assert(kReachedHeadMax + kInstantBytesMax <= kPayloadMax);

/// One session after another: a hello begins one, with a fresh controller; a goodbye ends it.
template <class Controller>
class NodeSession {
 public:
  /// Takes one byte; the frame to send back, if there is one, is valid until the next call.
  std::span<const std::uint8_t> on_byte(std::uint8_t byte) {
    switch (reader_.add(byte)) {
      case FrameEvent::kMore:
      case FrameEvent::kEmpty:
        return {};
      case FrameEvent::kBroken:
        return refuse(0, Refusal::kDamaged);
      case FrameEvent::kFrame:
        return on_message(reader_.payload());
    }
    return {};
  }

  /// The bench has said goodbye.
  bool ended() const { return ended_; }

  const FrameErrors& errors() const { return reader_.errors(); }

 private:
  static constexpr std::array<std::uint8_t, 9> kName{'r', 'i', 'm', 'e', 'b', 'e', 'n', 'c', 'h'};

  std::span<const std::uint8_t> on_message(std::span<const std::uint8_t> payload) {
    if (const auto hello = decode_hello(payload)) return on_hello(*hello);
    if (const auto grant = decode_grant(payload, inputs_)) return on_grant(*grant);
    if (!is_goodbye(payload)) return refuse(0, Refusal::kMessage);
    controller_.reset();
    ended_ = true;
    return {};
  }

  std::span<const std::uint8_t> on_hello(const HelloMessage& hello) {
    if (hello.version != kProtocolVersion) return refuse(0, Refusal::kVersion);
    controller_.emplace();
    ended_ = false;
    seq_ = 1;
    reached_ = {};
    return encode(HelloReplyMessage{kProtocolVersion, hello.nonce, kChangesMax, kName}, frame_);
  }

  std::span<const std::uint8_t> on_grant(const GrantMessage& grant) {
    if (!controller_) return refuse(grant.seq, Refusal::kNoSession);
    if (const auto reason = objection(grant, seq_, reached_)) return refuse(grant.seq, *reason);
    run(grant);
    ++seq_;
    return reply_.encode(grant.seq, reached_, frame_);
  }

  /// Steps from one instant with outputs to the next, as long as the reply has room for another.
  void run(const GrantMessage& grant) {
    reply_.clear();
    Instant until = grant.until;
    const auto sink = [&](SignalChange change) {
      if (grant.feedback.watched.has(change.channel)) {
        until = earlier(until, change.at + grant.feedback.lookahead);
      }
      reply_.add(change);
    };
    std::span<const SignalChange> inputs = grant.changes;
    do {
      while (!inputs.empty() && inputs.front().at < reached_) inputs = inputs.subspan(1);
      reached_ = run_grant(*controller_, inputs, until, Duration{1}, sink);
    } while (reached_ < until && reply_.has_room(kInstantBytesMax));
  }

  std::span<const std::uint8_t> refuse(std::uint16_t seq, Refusal reason) {
    return encode(RefusedMessage{seq, reason}, frame_);
  }

  FrameReader reader_;
  FrameBuffer frame_{};
  ChangeBuffer inputs_{};
  ReachedWriter reply_{};
  std::optional<Controller> controller_;
  Instant reached_{};
  std::uint16_t seq_{};  // a hello sets it; an object of zeros needs no room in a flash
  bool ended_{false};
};

}  // namespace rimebench
