#pragma once

#include <map>
#include <string>

#include "firmware_sim/contract/signal_change.hpp"
#include "harness/trace/channel_names.hpp"

namespace rimebench {

/// Signal changes as lines for people: time, channel, value.
class ChangeText {
 public:
  ChangeText();
  std::string name(Channel channel) const;
  std::string line(const SignalChange& change) const;

 private:
  std::map<Channel, std::string> names_;
};

}  // namespace rimebench
