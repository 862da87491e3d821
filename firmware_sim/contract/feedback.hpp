#pragma once

#include <cstdint>

#include "firmware_sim/contract/channel.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Some of the controller's outputs, as a mask that travels: bit n, from 0 to 14, is the channel
/// 0x2001 + n; bit 15 is every other one, the counters among them.
class OutputSet {
 public:
  constexpr OutputSet() = default;
  constexpr explicit OutputSet(std::uint16_t mask) : mask_(mask) {}
  static constexpr OutputSet all() { return OutputSet{0xffff}; }

  constexpr std::uint16_t mask() const { return mask_; }
  constexpr bool has(Channel output) const { return (mask_ & bit_of(output)) != 0; }
  constexpr void add(Channel output) { mask_ = static_cast<std::uint16_t>(mask_ | bit_of(output)); }

  friend constexpr bool operator==(OutputSet, OutputSet) = default;

 private:
  static constexpr unsigned bit_of(Channel output) {
    const unsigned place = unsigned{number(output)} - number(Channel::kValve);
    return 1U << (place < 15 ? place : 15U);
  }

  std::uint16_t mask_{0};
};

/// What of the controller's outputs comes back to it as an input, and how soon.
struct Feedback {
  constexpr Feedback() = default;
  /// A duration alone: any output may bring something back.
  // NOLINTNEXTLINE(google-explicit-constructor)
  constexpr Feedback(Duration soonest, OutputSet outputs = OutputSet::all())
      : lookahead(soonest), watched(outputs) {}

  Duration lookahead{kNever.us};  ///< > 0: the soonest that anything comes back
  OutputSet watched{};            ///< the outputs that may bring something back

  friend constexpr bool operator==(const Feedback&, const Feedback&) = default;
};

/// No output brings anything back.
inline constexpr Feedback kNoFeedback{};

}  // namespace rimebench
