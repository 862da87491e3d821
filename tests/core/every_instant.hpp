#pragma once

#include <algorithm>
#include <cstddef>
#include <map>

#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/core/grant.hpp"
#include "tests/core/line_on_rails.hpp"

namespace rimebench::rails {

using Levels = std::map<Channel, std::int32_t>;

/// Calls check(level, at) at the end of every instant of a run with the level of every wire, inputs
/// and outputs alike.
template <class Check>
void at_every_instant(const Changes& inputs, Check check) {
  DoseController controller;
  Changes all = inputs;
  run_grant(controller, inputs, inputs.back().at + 2_s, kNoFeedback,
            [&](SignalChange change) { all.push_back(change); });
  std::stable_sort(all.begin(), all.end(), canonical_before);
  Levels level;
  for (std::size_t i = 0; i < all.size(); ++i) {
    level[all[i].channel] = all[i].value;
    if (i + 1 == all.size() || all[i + 1].at != all[i].at) check(level, all[i].at);
  }
}

}  // namespace rimebench::rails
