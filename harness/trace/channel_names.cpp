#include "harness/trace/channel_names.hpp"

#include <algorithm>

#include "firmware_sim/contract/channel_table.hpp"
#include "firmware_sim/contract/fault_table.hpp"
#include "firmware_sim/contract/parameter_table.hpp"

namespace rimebench {

std::vector<ChannelName> every_channel_name() {
  std::vector<ChannelName> names;
  names.reserve(kChannelTable.size() + kParameterSlots + kCounterTable.size());
  for (const ChannelRow& row : kChannelTable) names.push_back({row.channel, row.name, row.unit});
  for (const ParameterRow& row : kParameterTable) {
    for (int entry = 0; entry < row.entries; ++entry) {
      std::string name = row.key;
      if (row.entries > 1) name.append("_").append(std::to_string(entry + 1));
      names.push_back({recipe_channel(slot(row.parameter, entry)), std::move(name), row.unit});
    }
  }
  for (const CounterRow& row : kCounterTable) {
    names.push_back({counter_channel(row.counter), row.name, "1"});
  }
  std::ranges::sort(names, {}, &ChannelName::channel);
  return names;
}

}  // namespace rimebench
