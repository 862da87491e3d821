#pragma once

/// Levels as they come to changes in canonical order: repeats go, short levels go, and every edge
/// keeps its own time though it is only believed once its level has held.

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <vector>

#include "firmware_sim/contract/signal_change.hpp"

namespace rimebench {

class EdgeFilter {
 public:
  EdgeFilter(Duration debounce, std::function<void(const SignalChange&)> sink);

  /// A value of a channel; times never fall. `bounces` grows by what is left out.
  void take(const SignalChange& change, std::int64_t& bounces);
  /// Passes on all that is left: what has not held long enough by `end` too.
  void finish();
  std::int64_t passed(Channel channel) const;

 private:
  struct Wire {
    std::int32_t believed{0};
    std::optional<SignalChange> pending;
    std::int64_t passed{0};
  };
  void believe_until(Instant now);
  void pass_on(Instant until);

  Duration debounce_;
  std::function<void(const SignalChange&)> sink_;
  std::map<Channel, Wire> wires_;
  std::vector<SignalChange> believed_;  ///< not yet passed on
};

}  // namespace rimebench
