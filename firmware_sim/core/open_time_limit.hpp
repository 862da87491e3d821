#pragma once

#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// The second guard, behind the first and apart from it: it sees nothing but the level that is
/// about to drive the valve, knows no shot, container or mode, and keeps an account of open time of
/// its own. The account falls while the valve is open and rises again at open_share while it is
/// shut, so that in any window W the valve is open for at most open_budget + open_share * W,
/// whatever the rest of the core believes. A spent account shuts the valve until the operator's
/// reset.
class OpenTimeLimit {
 public:
  /// Looks at the account before anything is decided.
  void watch(Instant now, const OpenBudget& budget) {
    if (now >= due(budget)) spent_ = true;
  }
  /// The valve's level: `open`, unless the account is spent.
  bool allow(Instant now, bool open, const OpenBudget& budget);

  bool spent() const { return spent_; }
  /// The operator has looked: the account is full again.
  void reset();
  /// The instant at which the open valve will have spent the account: never without a budget.
  Instant due(const OpenBudget& budget) const {
    return open_ && budget.most > 0_us ? since_ + (budget.most - used_) : kNever;
  }

 private:
  bool open_ = false;  ///< the valve is, and the account counts it
  bool spent_ = false;
  Instant since_;  ///< the present level holds
  Duration used_;  ///< of the account, before since_
};

}  // namespace rimebench
