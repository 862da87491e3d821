#pragma once

/// A node's end of a paced link: the controller runs on a clock of the node's own, and what it puts
/// out goes to the bench as it happens.
///   byte ─> FrameReader ─> Inputs ─> controller, stamped on arrival ─> Taken
///   next_wake ─> a timer of the port's ─> on_time ─> controller ─> Outputs
/// Freestanding like the core. Without a clock of its own: `Port` has
///   Instant now()                            the node's clock, which never runs back
///   void send(std::span<const uint8_t>)      one whole frame to the bench
///   Instant drive(std::span<const SignalChange>)  puts outputs of one instant at the pins; when
///                                            they stood there, as it measured it
/// Hello, Refused and Goodbye are as in a lockstep session.

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>

#include "firmware_sim/core/outputs.hpp"
#include "firmware_sim/wire/paced_message.hpp"

namespace rimebench {

/// A bench that is heard no more for this long is gone: link_alive falls, whatever it last said.
inline constexpr Duration kPacedSilenceMax = 1_s;

template <class Controller, class Port>
class PacedSession {
 public:
  /// `port` must outlive the session.
  explicit PacedSession(Port& port) : port_(port) {}

  void on_byte(std::uint8_t byte) {
    switch (reader_.add(byte)) {
      case FrameEvent::kMore:
      case FrameEvent::kEmpty:
        return;
      case FrameEvent::kBroken:
        return refuse(0, Refusal::kDamaged);
      case FrameEvent::kFrame:
        return on_message(reader_.payload());
    }
  }

  /// Fires every timer that is due. To be called at next_wake or as soon after it as can be.
  void on_time() {
    if (!controller_) return;
    const Instant now = port_.now();
    settle_before(now + 1_us);
    if (now < silent_at()) return;
    const SignalChange fallen{later(now, settled_ + 1_us), Channel::kLinkAlive, 0};
    take({&fallen, 1}, fallen.at);
  }

  /// On the node's clock: when on_time is to be called next. Holds until the next byte.
  Instant next_wake() const {
    return controller_ ? earlier(controller_->next_wake(), silent_at()) : kNever;
  }

  /// The bench has said goodbye.
  bool ended() const { return ended_; }

 private:
  static constexpr std::array<std::uint8_t, 9> kName{'r', 'i', 'm', 'e', 'b', 'e', 'n', 'c', 'h'};

  Instant silent_at() const { return link_alive_ ? heard_at_ + kPacedSilenceMax : kNever; }

  void on_message(std::span<const std::uint8_t> payload) {
    if (const auto hello = decode_hello(payload)) return on_hello(*hello);
    if (const auto inputs = decode_inputs(payload, inputs_)) return on_inputs(*inputs);
    if (!is_goodbye(payload)) return refuse(0, Refusal::kMessage);
    controller_.reset();
    ended_ = true;
  }

  void on_hello(const HelloMessage& hello) {
    if (hello.version != kProtocolVersion) return refuse(0, Refusal::kVersion);
    controller_.emplace();
    ended_ = false;
    link_alive_ = false;
    seq_ = 1;
    outputs_seq_ = 0;
    heard_at_ = settled_ = port_.now();
    port_.send(
        encode(HelloReplyMessage{kProtocolVersion, hello.nonce, kChangesMax, kName}, frame_));
  }

  void on_inputs(const InputsMessage& message) {
    const Instant received = heard_at_ = port_.now();
    if (const auto reason = objection(message)) return refuse(message.seq, *reason);
    ++seq_;
    // What the bench sent as one instant happens in one; the next comes at least 1 us later.
    std::span<const SignalChange> rest = message.changes;
    while (!rest.empty()) {
      std::size_t count = 1;
      while (count < rest.size() && rest[count].at == rest.front().at) ++count;
      const Instant at = later(received, settled_ + 1_us);
      settle_before(at);
      take(rest.first(count), at);
      rest = rest.subspan(count);
    }
    settle_before(received + 1_us);
    // The bench counts on it that nothing comes any more that is due by then.
    settled_ = later(settled_, received);
    const Instant replied = later(port_.now(), received);
    port_.send(encode(TakenMessage{message.seq, received, replied, outputs_seq_}, frame_));
  }

  std::optional<Refusal> objection(const InputsMessage& message) const {
    if (!controller_) return Refusal::kNoSession;
    if (message.seq != seq_) return Refusal::kSequence;
    const SignalChange* previous = nullptr;
    for (const SignalChange& change : message.changes) {
      if (class_of(change.channel) != ChannelClass::kToController) return Refusal::kChannel;
      if (previous != nullptr && !canonical_before(*previous, change)) return Refusal::kOrder;
      previous = &change;
    }
    return std::nullopt;
  }

  /// Gives the controller inputs of one instant and settles it.
  void take(std::span<const SignalChange> inputs, Instant at) {
    for (const SignalChange& input : inputs) {
      controller_->on_change({at, input.channel, input.value});
      if (input.channel == Channel::kLinkAlive) link_alive_ = input.value != 0;
    }
    settle_before(at + 1_us);
  }

  void settle_before(Instant end) {
    for (Instant now = controller_->next_wake(); now < end; now = controller_->next_wake()) {
      const auto outputs = controller_->advance(end);
      settled_ = now;
      if (!outputs.empty()) put_out(outputs);
    }
  }

  template <class Outputs>
  void put_out(const Outputs& outputs) {
    std::array<SignalChange, kOutputChannels> changes{};
    for (std::size_t i = 0; i < outputs.size(); ++i) changes[i] = outputs[i];
    const std::span<const SignalChange> driven(changes.data(), outputs.size());
    const Instant due = driven.front().at;
    const Duration late = later(port_.drive(driven), due) - due;
    ++outputs_seq_;
    port_.send(encode(OutputsMessage{outputs_seq_, late, driven}, frame_));
  }

  void refuse(std::uint16_t seq, Refusal reason) {
    port_.send(encode(RefusedMessage{seq, reason}, frame_));
  }

  Port& port_;
  FrameReader reader_;
  FrameBuffer frame_{};
  ChangeBuffer inputs_{};
  std::optional<Controller> controller_;
  Instant settled_{};   // no input may come at or before it
  Instant heard_at_{};  // of the bench, last
  bool link_alive_{false};
  std::uint16_t seq_{};
  std::uint16_t outputs_seq_{};
  bool ended_{false};
};

}  // namespace rimebench
