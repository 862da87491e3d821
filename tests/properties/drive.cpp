#include "tests/properties/drive.hpp"

#include <algorithm>
#include <map>

namespace rimebench::properties {

Changes canonical(Changes changes) {
  std::stable_sort(changes.begin(), changes.end(), canonical_before);
  Changes kept;
  std::map<Channel, std::int32_t> level;
  for (std::size_t i = 0; i < changes.size(); ++i) {
    const bool overruled = i + 1 < changes.size() && changes[i + 1].at == changes[i].at &&
                           changes[i + 1].channel == changes[i].channel;
    if (overruled || level[changes[i].channel] == changes[i].value) continue;
    level[changes[i].channel] = changes[i].value;
    kept.push_back(changes[i]);
  }
  return kept;
}

}  // namespace rimebench::properties
