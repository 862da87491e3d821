#pragma once

#include <vector>

#include "firmware_sim/contract/signal_change.hpp"
#include "harness/judge/reaction.hpp"

namespace rimebench {

/// The reactions that a scenario limits: to the run permit and to the safety chain.
class Reactions {
 public:
  explicit Reactions(const RunLimits& limits);

  void on_change(const SignalChange& change);
  /// One finding for each.
  void finish(Instant end, std::vector<Finding>& findings) const;

 private:
  struct Watched {
    Channel permit;
    Channel until;  ///< the valve's command, the valve itself, or the landing
    Reaction reaction;
  };
  std::vector<Watched> watched_;
};

}  // namespace rimebench
