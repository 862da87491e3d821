#pragma once

/// One conversation of a check with a paced node. Inputs are answered one by one, outputs come in
/// between as they like and are kept.

#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "harness/conformance/probe.hpp"
#include "harness/link/paced_node.hpp"

namespace rimebench {

/// One Outputs message as it came.
struct CameOut {
  std::uint16_t seq{};
  Instant due;      ///< on the node's clock
  Instant pins;     ///< likewise
  Instant arrived;  ///< on the bench's
  Changes changes;
};

class PacedProbe {
 public:
  PacedProbe(std::unique_ptr<PacedWire> wire, const Patience& patience)
      : wire_(std::move(wire)),
        patience_{std::chrono::duration_cast<std::chrono::microseconds>(patience.answer).count()} {}

  /// Says hello; what comes before the reply with its own nonce is of an earlier session. Anything
  /// else than a hello reply fails the check where no earlier session can be.
  HelloReplyMessage greet();  // without the name: see node_name()

  /// Sends these inputs, or none, with the next number and waits for their Taken; anything else but
  /// outputs fails the check.
  PacedTaken give(std::span<const SignalChange> inputs = {});
  /// The same with the message as it was answered.
  TakenMessage give_plainly(std::span<const SignalChange> inputs);

  void send(std::span<const std::uint8_t> bytes);
  /// Sends the bytes, which are the next `count` Inputs, and wants each taken in its turn.
  void expect_each_taken(std::span<const std::uint8_t> bytes, int count);
  void expect_refusal(std::span<const std::uint8_t> bytes, const Refusing& expected,
                      const std::string& what);
  /// The session is where it was: inputs with the next number are taken.
  void expect_unharmed(const std::string& what);
  /// The session is over: the bytes are refused as without a hello, or the connection is gone.
  void expect_gone(std::span<const std::uint8_t> bytes, const std::string& what);
  /// Waits until `enough` says so of the outputs, at most so long. Anything but outputs fails the
  /// check.
  void watch(Duration most, const std::function<bool()>& enough);

  Instant now() { return wire_->now(); }
  std::uint16_t seq() const { return seq_; }  ///< of the next Inputs
  std::uint32_t nonce() const { return nonce_; }
  const std::string& node_name() const { return node_name_; }
  bool starts_empty() const { return wire_->starts_empty(); }
  /// Since the hello, as they came.
  const std::vector<CameOut>& outputs() const { return outputs_; }

 private:
  /// The payload of the next frame that is not Outputs; nothing once the time is up.
  std::optional<Bytes> receive(Instant until, const std::string& what);
  Bytes answer(const std::string& what);
  TakenMessage next_taken();

  std::unique_ptr<PacedWire> wire_;
  Duration patience_;
  std::uint32_t nonce_{};
  std::string node_name_;
  std::uint16_t seq_{1};
  std::vector<CameOut> outputs_;
};

}  // namespace rimebench
