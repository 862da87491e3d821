#pragma once

#include <compare>
#include <cstdint>

#include "firmware_sim/contract/channel.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Everything that crosses the boundary: at `at` the wire `channel` takes `value`.
/// A channel starts at 0 and changes at most once an instant; a change to its present value is
/// none.
struct SignalChange {
  Instant at;
  Channel channel{};
  std::int32_t value{};

  friend constexpr bool operator==(const SignalChange&, const SignalChange&) = default;
};

/// Canonical order: time, then channel number (inputs before outputs before witnesses).
constexpr bool canonical_before(const SignalChange& a, const SignalChange& b) {
  return a.at != b.at ? a.at < b.at : a.channel < b.channel;
}

}  // namespace rimebench
