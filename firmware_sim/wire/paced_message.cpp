#include "firmware_sim/wire/paced_message.hpp"

#include "firmware_sim/wire/payload_fields.hpp"

namespace rimebench {

std::span<const std::uint8_t> encode(const InputsMessage& message, FrameBuffer& frame) {
  Payload payload = begin_payload(PacedType::kInputs);
  put_varint(payload, message.seq);
  put_changes(payload, message.changes);
  return encode_frame(payload, frame);
}

std::span<const std::uint8_t> encode(const TakenMessage& message, FrameBuffer& frame) {
  Payload payload = begin_payload(PacedType::kTaken);
  put_varint(payload, message.seq);
  put_time(payload, message.received.us);
  put_time(payload, (message.replied - message.received).raw);
  put_varint(payload, message.outputs);
  return encode_frame(payload, frame);
}

std::span<const std::uint8_t> encode(const OutputsMessage& message, FrameBuffer& frame) {
  Payload payload = begin_payload(PacedType::kOutputs);
  put_varint(payload, message.seq);
  put_time(payload, message.late.raw);
  put_changes(payload, message.changes);
  return encode_frame(payload, frame);
}

std::optional<InputsMessage> decode_inputs(std::span<const std::uint8_t> payload,
                                           ChangeBuffer& changes) {
  PayloadReader reader(payload);
  if (!begins_with(reader, PacedType::kInputs)) return std::nullopt;
  InputsMessage message;
  message.seq = static_cast<std::uint16_t>(reader.varint(kU16Max));
  message.changes = read_changes(reader, changes);
  if (!reader.whole()) return std::nullopt;
  return message;
}

std::optional<TakenMessage> decode_taken(std::span<const std::uint8_t> payload) {
  PayloadReader reader(payload);
  if (!begins_with(reader, PacedType::kTaken)) return std::nullopt;
  TakenMessage message;
  message.seq = static_cast<std::uint16_t>(reader.varint(kU16Max));
  message.received.us = read_time(reader);
  message.replied = message.received + Duration{read_time(reader)};
  message.outputs = static_cast<std::uint16_t>(reader.varint(kU16Max));
  if (!reader.whole() || !reader.at_end() || message.replied > kLastInstant) return std::nullopt;
  return message;
}

std::optional<OutputsMessage> decode_outputs(std::span<const std::uint8_t> payload,
                                             ChangeBuffer& changes) {
  PayloadReader reader(payload);
  if (!begins_with(reader, PacedType::kOutputs)) return std::nullopt;
  OutputsMessage message;
  message.seq = static_cast<std::uint16_t>(reader.varint(kU16Max));
  message.late.raw = read_time(reader);
  message.changes = read_changes(reader, changes);
  if (!reader.whole() || message.changes.empty()) return std::nullopt;
  for (const SignalChange& change : message.changes) {
    if (change.at != message.changes.front().at) return std::nullopt;
  }
  if (message.changes.front().at + message.late > kLastInstant) return std::nullopt;
  return message;
}

}  // namespace rimebench
