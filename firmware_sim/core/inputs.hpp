#pragma once

#include <array>
#include <cstdint>

#include "firmware_sim/contract/channel.hpp"

namespace rimebench {

/// Levels of the plain input wires and values of the samples, and what they did since the last
/// instant was settled. A sample, the operator's wish for test shots among them, is 0 until it
/// comes and counts as high while it is not 0.
class Inputs {
 public:
  static constexpr bool carries(Channel channel) { return number(channel) < 32; }

  void take(Channel channel, std::int32_t value) {
    if (channel >= kFirstSample && value != sample(channel)) {
      samples_[sample_index(channel)] = value;
      changed_ |= bit(channel);
    }
    const bool level = value != 0;
    if (level == high(channel)) return;
    levels_ ^= bit(channel);
    changed_ |= bit(channel);
  }
  void settled() { changed_ = 0; }

  bool high(Channel channel) const { return (levels_ & bit(channel)) != 0; }
  bool changed(Channel channel) const { return (changed_ & bit(channel)) != 0; }
  bool changed_only(Channel channel) const { return changed_ == bit(channel); }
  bool rose(Channel channel) const { return changed(channel) && high(channel); }
  std::int32_t sample(Channel channel) const { return samples_[sample_index(channel)]; }

 private:
  static constexpr Channel kFirstSample = Channel::kOperatorTestShots;
  static constexpr unsigned sample_index(Channel channel) {
    return unsigned{number(channel)} - number(kFirstSample);
  }
  static constexpr std::uint32_t bit(Channel channel) {
    return std::uint32_t{1} << number(channel);
  }

  std::uint32_t levels_ = 0;
  std::uint32_t changed_ = 0;
  std::array<std::int32_t, 5> samples_{};
};

static_assert(Inputs::carries(Channel::kRoomOxygen), "every plain input has its bit");
static_assert(number(Channel::kRoomOxygen) - number(Channel::kOperatorTestShots) == 4);

}  // namespace rimebench
