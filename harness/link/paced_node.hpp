#pragma once

/// A node at the other end of a stream, on the wall clock: inputs go as they happen, outputs come
/// as they happen, and stamps go back and forth. PROTOCOL.md in firmware_sim/wire has the bytes.

#include <cstdint>
#include <deque>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <variant>

#include "firmware_sim/wire/paced_message.hpp"
#include "harness/link/node.hpp"

namespace rimebench {

/// What carries a paced session: whole frames, and the bench's clock. An interface, so that tests
/// can put a link and a clock of their own in its place.
class PacedWire {
 public:
  PacedWire() = default;
  PacedWire(const PacedWire&) = delete;
  PacedWire& operator=(const PacedWire&) = delete;
  virtual ~PacedWire() = default;

  /// The bench's clock, in microseconds from anywhere; it never runs back.
  virtual Instant now() = 0;
  /// Throws StreamError, as receive does.
  virtual void send(std::span<const std::uint8_t> frame) = 0;
  /// The payload of the next frame, valid until the next call; nothing once the clock has come to
  /// `until`. A damaged frame is a StreamError.
  virtual std::optional<std::span<const std::uint8_t>> receive(Instant until) = 0;
  virtual const std::string& name() const = 0;
  /// As of ByteStream.
  virtual bool starts_empty() const { return true; }
};

/// Inputs that the node has taken, and the four stamps of that exchange.
struct PacedTaken {
  Instant sent;      ///< on the bench's clock, as the next but one
  Instant received;  ///< on the node's clock, as the next
  Instant replied;
  Instant arrived;
};

/// Outputs of one instant, on the node's clock.
struct PacedOutputs {
  Instant due;
  Instant pins;                           ///< as its port measured it
  std::span<const SignalChange> changes;  ///< valid until the next wait

  Duration late() const { return pins - due; }
};

/// Nothing where the time was up.
using PacedNews = std::variant<std::monostate, PacedTaken, PacedOutputs>;

/// Says hello; says goodbye when destroyed. Nothing is ever sent twice: whatever goes wrong, a
/// number out of order included, ends the session with a LinkError.
class PacedNode {
 public:
  /// Throws LinkError if what answers does not speak this protocol.
  explicit PacedNode(std::unique_ptr<PacedWire> wire);
  PacedNode(const PacedNode&) = delete;
  PacedNode& operator=(const PacedNode&) = delete;
  ~PacedNode();

  Instant now() { return wire_->now(); }

  /// Sends inputs of one instant, or none, which asks for stamps alone. Returns when it left.
  Instant send(std::span<const SignalChange> inputs);

  /// The next news, waiting for it until the bench's clock shows `until`.
  PacedNews wait(Instant until);

  /// Inputs sent but not yet known to be taken.
  std::size_t open() const { return sent_.size(); }

  /// For the message of a LinkError: how far the run has come.
  void reached(Instant at) { reached_ = at; }

 private:
  void greet();
  PacedTaken take(const TakenMessage& message);
  PacedOutputs take(const OutputsMessage& message);
  [[noreturn]] void refuse(std::span<const std::uint8_t> payload) const;
  [[noreturn]] void lose(const std::string& what) const;

  std::unique_ptr<PacedWire> wire_;
  FrameBuffer frame_{};
  ChangeBuffer changes_{};
  std::deque<Instant> sent_;  // of each Inputs not yet taken
  std::uint16_t seq_{1};      // of the next Inputs
  std::uint16_t outputs_seq_{};
  std::optional<PacedTaken> first_taken_;
  std::optional<PacedTaken> taken_;  // the last
  std::optional<Instant> due_;       // of the last Outputs
  Instant reached_{};
};

}  // namespace rimebench
