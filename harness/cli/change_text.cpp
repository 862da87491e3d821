#include "harness/cli/change_text.hpp"

#include <fmt/format.h>

namespace rimebench {

ChangeText::ChangeText() {
  for (const ChannelName& name : every_channel_name()) names_[name.channel] = name.name;
}

std::string ChangeText::name(Channel channel) const {
  const auto name = names_.find(channel);
  return name == names_.end() ? fmt::format("0x{:04x}", number(channel)) : name->second;
}

std::string ChangeText::line(const SignalChange& change) const {
  return fmt::format("{:>16} us  {:<28} {}", change.at.us, name(change.channel), change.value);
}

}  // namespace rimebench
