#pragma once

/// One conversation of a check with a node, frame by frame. It is forgiving: a check looks at one
/// rule of PROTOCOL.md and takes everything else as it comes.

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <stdexcept>
#include <string>
#include <vector>

#include "firmware_sim/wire/message.hpp"
#include "harness/link/frame_channel.hpp"

namespace rimebench {

using Bytes = std::vector<std::uint8_t>;
using Changes = std::vector<SignalChange>;

/// What a check found: the node broke the rule it looks at.
class CheckFailed : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

struct Patience {
  std::chrono::milliseconds answer{kSilenceMax};  ///< for one answer
  std::chrono::milliseconds quiet{200};  ///< how long a node must keep still, where it must
};

/// A refusal that a check wants. Where the page leaves the number open, so does this.
struct Refusing {
  Refusal reason{};
  std::optional<std::uint16_t> seq{};
};

/// The node's answer to a grant.
struct Came {
  Instant at;
  Changes outputs;
};

struct RunPlan {
  Instant until;
  std::span<const SignalChange> inputs;
  Feedback feedback{};
};

class Probe {
 public:
  Probe(std::unique_ptr<ByteStream> stream, const Patience& patience)
      : channel_(std::move(stream)), patience_(patience) {}

  /// Says hello. Anything but a hello reply, of whatever content, fails the check.
  HelloReplyMessage greet();

  /// The whole grant in one frame with the next number. Anything but a reached that comes further,
  /// and no further than `until`, fails the check.
  Came grant(Instant until, std::span<const SignalChange> inputs = {},
             const Feedback& feedback = kNoFeedback);

  /// Grants all the way to the end of the plan, each as long as one frame carries it, or no further
  /// than `cut()` says; what the node did not consume is sent again.
  Changes run(const RunPlan& plan, const std::function<Instant()>& cut = {});

  void send(std::span<const std::uint8_t> bytes);
  /// The payload of the next frame; a damaged one, silence or a lost connection fails the check.
  std::span<const std::uint8_t> receive(const std::string& answer_to);
  /// Sends the bytes and wants them refused with exactly this.
  void expect_refusal(std::span<const std::uint8_t> bytes, const Refusing& expected,
                      const std::string& what);
  /// The next frame refuses with this.
  void expect_refused(const Refusing& expected, const std::string& what);
  /// Nothing comes for a while, and the connection stays.
  void expect_quiet(const std::string& what);
  /// The session is where it was: a grant with the next number, one microsecond further, is taken.
  void expect_unharmed(const std::string& what);

  /// Of the next grant.
  std::uint16_t seq() const { return seq_; }
  Instant reached() const { return reached_; }
  std::size_t capacity() const { return capacity_; }
  bool starts_empty() const { return channel_.starts_empty(); }
  std::uint32_t nonce() const { return nonce_; }
  const std::string& node_name() const { return node_name_; }

 private:
  FrameEvent next_frame(const std::string& answer_to);

  FrameChannel channel_;
  Patience patience_;
  ChangeBuffer changes_{};
  std::uint32_t nonce_{};
  std::string node_name_;
  std::size_t capacity_{kCapacityMin};
  std::uint16_t seq_{1};
  Instant reached_{};
};

/// A message as bytes.
template <class Message>
Bytes framed(const Message& message) {
  FrameBuffer buffer;
  const auto frame = encode(message, buffer);
  return {frame.begin(), frame.end()};
}
/// Any payload as bytes, with a right checksum.
Bytes framed_payload(const Bytes& bytes);
Bytes framed_goodbye();

/// "Reached 7 at 500 us", "a refusal with reason 5", for messages.
std::string description(std::span<const std::uint8_t> payload);

/// Fails the check with these words unless `kept`.
inline void require(bool kept, const std::string& broken) {
  if (!kept) throw CheckFailed(broken);
}

}  // namespace rimebench
