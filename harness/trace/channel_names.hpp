#pragma once

#include <string>
#include <vector>

#include "firmware_sim/contract/channel.hpp"

namespace rimebench {

/// A channel as people read it.
struct ChannelName {
  Channel channel{};
  std::string name;
  std::string unit;

  friend bool operator==(const ChannelName&, const ChannelName&) = default;
};

/// Every channel there is, in number order. A recipe list's entries are numbered from 1:
/// `open_curve_ug_1`.
std::vector<ChannelName> every_channel_name();

}  // namespace rimebench
