#pragma once

/// The fields that messages are made of, written to and read from a payload.

#include <cstddef>
#include <cstdint>
#include <span>

#include "firmware_sim/wire/message.hpp"
#include "firmware_sim/wire/varint.hpp"

namespace rimebench {

inline constexpr std::uint64_t kTimeMax = static_cast<std::uint64_t>(kLastInstant.us);
inline constexpr std::uint64_t kU16Max = 0xffff;
inline constexpr std::uint64_t kU32Max = 0xffffffff;

/// A payload of this type, whose number is its first byte.
template <class Type>
Payload begin_payload(Type type) {
  Payload payload;
  put_byte(payload, static_cast<std::uint8_t>(type));
  return payload;
}

inline void put_time(Payload& payload, std::int64_t us) {
  DEMAND(us >= 0 && us <= kLastInstant.us);
  put_varint(payload, static_cast<std::uint64_t>(us));
}

inline void put_change(Payload& payload, Instant previous, const SignalChange& change) {
  put_time(payload, (change.at - previous).raw);
  put_varint(payload, number(change.channel));
  put_varint(payload, zigzag(change.value));
}

inline void put_changes(Payload& payload, std::span<const SignalChange> changes) {
  Instant previous{};
  for (const SignalChange& change : changes) {
    put_change(payload, previous, change);
    previous = change.at;
  }
}

inline std::int64_t read_time(PayloadReader& reader) {
  return static_cast<std::int64_t>(reader.varint(kTimeMax));
}

/// Changes fill the rest of a payload, so nothing is left behind them.
inline std::span<const SignalChange> read_changes(PayloadReader& reader, ChangeBuffer& changes) {
  std::size_t count = 0;
  Instant at{};
  while (!reader.at_end()) {
    at = at + Duration{read_time(reader)};
    const auto channel = static_cast<Channel>(reader.varint(kU16Max));
    const auto value = unzigzag(static_cast<std::uint32_t>(reader.varint(kU32Max)));
    if (at > kLastInstant || count == changes.size()) reader.fail();
    if (reader.whole()) changes[count++] = {at, channel, value};
  }
  return {changes.data(), count};
}

template <class Type>
bool begins_with(PayloadReader& reader, Type type) {
  return reader.byte() == static_cast<std::uint8_t>(type);
}

}  // namespace rimebench
