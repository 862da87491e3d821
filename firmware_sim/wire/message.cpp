#include "firmware_sim/wire/message.hpp"

#include "firmware_sim/wire/payload_fields.hpp"

namespace rimebench {

namespace {

Payload reached_head(std::uint16_t seq, Instant at) {
  Payload payload = begin_payload(MessageType::kReached);
  put_varint(payload, seq);
  put_time(payload, at.us);
  return payload;
}

bool is_printable(std::span<const std::uint8_t> text) {
  for (const std::uint8_t byte : text) {
    if (byte < 0x20 || byte > 0x7e) return false;
  }
  return true;
}

}  // namespace

std::span<const std::uint8_t> encode(const HelloMessage& message, FrameBuffer& frame) {
  Payload payload = begin_payload(MessageType::kHello);
  put_varint(payload, message.version);
  put_varint(payload, message.nonce);
  return encode_frame(payload, frame);
}

std::span<const std::uint8_t> encode(const HelloReplyMessage& message, FrameBuffer& frame) {
  DEMAND(message.name.size() <= kNameMax);
  Payload payload = begin_payload(MessageType::kHelloReply);
  put_varint(payload, message.version);
  put_varint(payload, message.nonce);
  put_varint(payload, message.capacity);
  for (const std::uint8_t byte : message.name) put_byte(payload, byte);
  return encode_frame(payload, frame);
}

std::span<const std::uint8_t> encode(const GrantMessage& message, FrameBuffer& frame) {
  Payload payload = begin_payload(MessageType::kGrant);
  put_varint(payload, message.seq);
  put_time(payload, message.until.us);
  const Feedback& feedback = message.feedback;
  const bool wired = feedback.lookahead.raw <= kLastInstant.us;
  put_time(payload, wired ? feedback.lookahead.raw : 0);
  put_varint(payload, wired ? feedback.watched.mask() : 0);
  put_changes(payload, message.changes);
  return encode_frame(payload, frame);
}

std::span<const std::uint8_t> encode(const ReachedMessage& message, FrameBuffer& frame) {
  Payload payload = reached_head(message.seq, message.at);
  put_changes(payload, message.changes);
  return encode_frame(payload, frame);
}

void ReachedWriter::clear() {
  payload_.size = kReachedHeadMax;
  previous_ = {};
}

void ReachedWriter::add(const SignalChange& change) {
  put_change(payload_, previous_, change);
  previous_ = change.at;
}

std::span<const std::uint8_t> ReachedWriter::encode(std::uint16_t seq, Instant at,
                                                    FrameBuffer& frame) {
  const Payload head = reached_head(seq, at);
  const std::size_t begins = kReachedHeadMax - head.size;
  for (std::size_t i = 0; i < head.size; ++i) payload_.bytes[begins + i] = head.bytes[i];
  return encode_frame(payload_, begins, frame);
}

std::span<const std::uint8_t> encode(const RefusedMessage& message, FrameBuffer& frame) {
  Payload payload = begin_payload(MessageType::kRefused);
  put_varint(payload, message.seq);
  put_varint(payload, static_cast<std::uint8_t>(message.reason));
  return encode_frame(payload, frame);
}

std::span<const std::uint8_t> encode_goodbye(FrameBuffer& frame) {
  Payload payload = begin_payload(MessageType::kGoodbye);
  return encode_frame(payload, frame);
}

std::optional<MessageType> message_type(std::span<const std::uint8_t> payload) {
  if (payload.empty()) return std::nullopt;
  const std::uint8_t type = payload.front();
  if (type < static_cast<std::uint8_t>(MessageType::kHello)) return std::nullopt;
  if (type > static_cast<std::uint8_t>(MessageType::kRefused)) return std::nullopt;
  return static_cast<MessageType>(type);
}

std::optional<HelloMessage> decode_hello(std::span<const std::uint8_t> payload) {
  PayloadReader reader(payload);
  if (!begins_with(reader, MessageType::kHello)) return std::nullopt;
  HelloMessage message;
  message.version = static_cast<std::uint32_t>(reader.varint(kU32Max));
  if (reader.whole() && message.version != kProtocolVersion) return message;
  message.nonce = static_cast<std::uint32_t>(reader.varint(kU32Max));
  if (!reader.whole() || !reader.at_end()) return std::nullopt;
  return message;
}

std::optional<HelloReplyMessage> decode_hello_reply(std::span<const std::uint8_t> payload) {
  PayloadReader reader(payload);
  if (!begins_with(reader, MessageType::kHelloReply)) return std::nullopt;
  HelloReplyMessage message;
  message.version = static_cast<std::uint32_t>(reader.varint(kU32Max));
  message.nonce = static_cast<std::uint32_t>(reader.varint(kU32Max));
  message.capacity = static_cast<std::uint16_t>(reader.varint(kU16Max));
  message.name = reader.rest();
  if (!reader.whole() || message.name.size() > kNameMax) return std::nullopt;
  if (!is_printable(message.name)) return std::nullopt;
  return message;
}

std::optional<GrantMessage> decode_grant(std::span<const std::uint8_t> payload,
                                         ChangeBuffer& changes) {
  PayloadReader reader(payload);
  if (!begins_with(reader, MessageType::kGrant)) return std::nullopt;
  GrantMessage message;
  message.seq = static_cast<std::uint16_t>(reader.varint(kU16Max));
  message.until.us = read_time(reader);
  const std::int64_t lookahead_us = read_time(reader);
  message.feedback.lookahead.raw = lookahead_us == 0 ? kNever.us : lookahead_us;
  message.feedback.watched = OutputSet{static_cast<std::uint16_t>(reader.varint(kU16Max))};
  message.changes = read_changes(reader, changes);
  if (!reader.whole()) return std::nullopt;
  return message;
}

std::optional<ReachedMessage> decode_reached(std::span<const std::uint8_t> payload,
                                             ChangeBuffer& changes) {
  PayloadReader reader(payload);
  if (!begins_with(reader, MessageType::kReached)) return std::nullopt;
  ReachedMessage message;
  message.seq = static_cast<std::uint16_t>(reader.varint(kU16Max));
  message.at.us = read_time(reader);
  message.changes = read_changes(reader, changes);
  if (!reader.whole()) return std::nullopt;
  return message;
}

std::optional<RefusedMessage> decode_refused(std::span<const std::uint8_t> payload) {
  PayloadReader reader(payload);
  if (!begins_with(reader, MessageType::kRefused)) return std::nullopt;
  RefusedMessage message;
  message.seq = static_cast<std::uint16_t>(reader.varint(kU16Max));
  const std::uint64_t reason = reader.varint(static_cast<std::uint8_t>(Refusal::kChannel));
  if (!reader.whole() || !reader.at_end() || reason == 0) return std::nullopt;
  message.reason = static_cast<Refusal>(reason);
  return message;
}

bool is_goodbye(std::span<const std::uint8_t> payload) {
  return payload.size() == 1 && payload[0] == static_cast<std::uint8_t>(MessageType::kGoodbye);
}

}  // namespace rimebench
