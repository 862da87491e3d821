#pragma once

/// The messages of a paced session, which runs on the wall clock: neither end waits for the other.
///   bench ── Inputs ──> node     node ── Taken ───> bench      one for each Inputs, with stamps
///                                node ── Outputs ─> bench      as soon as one is put out
/// Hello, its reply, Refused and Goodbye are those of message.hpp. PROTOCOL.md is the full text.

#include <cstdint>
#include <optional>
#include <span>

#include "firmware_sim/wire/message.hpp"

namespace rimebench {

/// The first byte of a payload, after those of MessageType.
enum class PacedType : std::uint8_t { kInputs = 7, kTaken, kOutputs };

/// Whatever happened on the line, sent as it happens. Without changes it only asks for stamps.
struct InputsMessage {
  std::uint16_t seq{};                      ///< 1 after a hello; 0 follows 65535
  std::span<const SignalChange> changes{};  ///< stamped by the bench with the time of the run
};

/// Stamps are of the node's clock, which starts anywhere.
struct TakenMessage {
  std::uint16_t seq{};      ///< of the Inputs
  Instant received{};       ///< when it came, and when its inputs reached the controller
  Instant replied{};        ///< when this answer left
  std::uint16_t outputs{};  ///< seq of the last Outputs before it; 0 before the first
};

/// The outputs of one instant.
struct OutputsMessage {
  std::uint16_t seq{};                      ///< 1 in the first after a hello; 0 follows 65535
  Duration late{};                          ///< from the time they were due to the pins
  std::span<const SignalChange> changes{};  ///< at least one, all stamped with the time due
};

/// Each panics on changes that run backwards or do not fit one payload.
std::span<const std::uint8_t> encode(const InputsMessage& message, FrameBuffer& frame);
std::span<const std::uint8_t> encode(const TakenMessage& message, FrameBuffer& frame);
std::span<const std::uint8_t> encode(const OutputsMessage& message, FrameBuffer& frame);

/// Each gives nothing if the payload is not exactly one message of its type.
std::optional<InputsMessage> decode_inputs(std::span<const std::uint8_t> payload,
                                           ChangeBuffer& changes);
std::optional<TakenMessage> decode_taken(std::span<const std::uint8_t> payload);
std::optional<OutputsMessage> decode_outputs(std::span<const std::uint8_t> payload,
                                             ChangeBuffer& changes);

}  // namespace rimebench
