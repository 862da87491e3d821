#pragma once

/// The messages of the link, and their payloads.
///   bench ── Hello ──> node     node ── HelloReply ──> bench
///   bench ── Grant ──> node     node ── Reached ────> bench      one grant, one answer
///                               node ── Refused ────> bench      instead of an answer
///   either ── Goodbye ──> the other
/// Decoding checks form: types, ranges, lengths, that times do not run backwards. Whether a message
/// fits the session is for its receiver to decide. PROTOCOL.md beside this file is the full text.

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>

#include "firmware_sim/contract/feedback.hpp"
#include "firmware_sim/contract/parameter.hpp"
#include "firmware_sim/contract/signal_change.hpp"
#include "firmware_sim/wire/frame.hpp"
#include "firmware_sim/wire/varint.hpp"

namespace rimebench {

inline constexpr std::uint32_t kProtocolVersion = 2;
inline constexpr std::size_t kNameMax = 32;

/// The latest instant that can travel, a little over 407 days into a run. It keeps a bench that is
/// out of its mind from asking a controller to run for ages, and every product of time and speed
/// within 64 bits.
inline constexpr Instant kLastInstant{(std::int64_t{1} << 45) - 1};
inline constexpr std::size_t kTimeBytesMax =
    varint_size(static_cast<std::uint64_t>(kLastInstant.us));

/// The first byte of a payload.
enum class MessageType : std::uint8_t {
  kHello = 1,
  kHelloReply,
  kGrant,
  kReached,
  kGoodbye,
  kRefused,
};

/// Why a node did not take a frame; the number travels.
enum class Refusal : std::uint8_t {
  kDamaged = 1,  ///< the frame arrived broken
  kMessage,      ///< intact, yet not a message a node takes
  kVersion,      ///< a protocol version this node does not speak
  kNoSession,    ///< a grant without a hello before it
  kSequence,     ///< the grant's number does not follow the last one's
  kTime,         ///< the grant does not reach past the instant already reached
  kTooMany,      ///< more changes than the node's capacity
  kOrder,        ///< a change outside its grant or out of canonical order
  kChannel,      ///< a change on a channel that does not lead to the controller
};

struct HelloMessage {
  std::uint32_t version{};
  std::uint32_t nonce{};  ///< comes back in the reply, so that an old reply is known as such
};

struct HelloReplyMessage {
  std::uint32_t version{};
  std::uint32_t nonce{};
  std::uint16_t capacity{};              ///< most changes a grant may carry
  std::span<const std::uint8_t> name{};  ///< printable ASCII, at most kNameMax bytes
};

struct GrantMessage {
  std::uint16_t seq{};  ///< 1 after a hello; 0 follows 65535
  Instant until{};
  Feedback feedback{};  ///< a lookahead of 0 on the wire means that none is wired: kNever here. One
                        ///< longer than the longest run is none
  std::span<const SignalChange> changes{};
};

struct ReachedMessage {
  std::uint16_t seq{};
  Instant at{};
  std::span<const SignalChange> changes{};
};

struct RefusedMessage {
  std::uint16_t seq{};  ///< of the grant, 0 where it was none
  Refusal reason{};
};

/// Bytes of one change that follows one at `previous`; the first of a message follows one at 0.
constexpr std::size_t change_size(Instant previous, const SignalChange& change) {
  return varint_size(static_cast<std::uint64_t>((change.at - previous).raw)) +
         varint_size(number(change.channel)) + varint_size(zigzag(change.value));
}

/// Bytes before the changes of a grant, and of a reached, at most.
inline constexpr std::size_t kGrantHeadMax = 1 + 3 + kTimeBytesMax + kTimeBytesMax + 3;
inline constexpr std::size_t kReachedHeadMax = 1 + 3 + kTimeBytesMax;

/// The most changes any payload can hold: a change has at least three bytes, a head at least three.
inline constexpr std::size_t kChangesMax = (kPayloadMax - 3) / 3;

/// A node must be able to take this many changes, so that all inputs of one instant, a whole recipe
/// among them, fit one grant. A grant cannot end inside an instant.
inline constexpr std::size_t kCapacityMin = 256;
inline constexpr std::size_t kInputChannels =
    static_cast<std::size_t>(Channel::kRoomOxygen) + kParameterSlots + 1;
static_assert(kInputChannels <= kCapacityMin);
static_assert(kGrantHeadMax + kTimeBytesMax + kInputChannels * (1 + 2 + 5) <= kPayloadMax);

std::span<const std::uint8_t> encode(const HelloMessage& message, FrameBuffer& frame);
std::span<const std::uint8_t> encode(const HelloReplyMessage& message, FrameBuffer& frame);
/// The changes fit one payload (change_size) and do not run backwards; else it panics.
std::span<const std::uint8_t> encode(const GrantMessage& message, FrameBuffer& frame);
std::span<const std::uint8_t> encode(const ReachedMessage& message, FrameBuffer& frame);

/// A reached whose changes are put in as they happen, before it is known how far the run will come:
/// a node needs no list of them.
class ReachedWriter {
 public:
  void clear();
  bool empty() const { return payload_.size == kReachedHeadMax; }
  /// Room for so many more bytes of changes (change_size).
  bool has_room(std::size_t bytes) const { return payload_.size + bytes <= kPayloadMax; }
  /// Panics if there is no room.
  void add(const SignalChange& change);
  /// The whole frame; clear() begins the next.
  std::span<const std::uint8_t> encode(std::uint16_t seq, Instant at, FrameBuffer& frame);

 private:
  Payload payload_;  // the changes, behind room for the longest head
  Instant previous_{};
};

std::span<const std::uint8_t> encode(const RefusedMessage& message, FrameBuffer& frame);
std::span<const std::uint8_t> encode_goodbye(FrameBuffer& frame);

/// The type a payload claims; nothing if no message has that number.
std::optional<MessageType> message_type(std::span<const std::uint8_t> payload);

/// Memory for the changes of one decoded message.
using ChangeBuffer = std::array<SignalChange, kChangesMax>;

/// Each gives nothing if the payload is not exactly one message of its type. Of a hello in another
/// version only the version is read: what follows it is not ours to know.
std::optional<HelloMessage> decode_hello(std::span<const std::uint8_t> payload);
std::optional<HelloReplyMessage> decode_hello_reply(std::span<const std::uint8_t> payload);
std::optional<GrantMessage> decode_grant(std::span<const std::uint8_t> payload,
                                         ChangeBuffer& changes);
std::optional<ReachedMessage> decode_reached(std::span<const std::uint8_t> payload,
                                             ChangeBuffer& changes);
std::optional<RefusedMessage> decode_refused(std::span<const std::uint8_t> payload);
bool is_goodbye(std::span<const std::uint8_t> payload);

}  // namespace rimebench
