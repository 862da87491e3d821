#pragma once

#include "firmware_sim/core/counters.hpp"
#include "firmware_sim/core/fixed_ring.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Waits for the eye behind the gate to see each rejected container leave: one rise for each, in
/// order. A container it does not see may be on the good side.
class RejectEye {
 public:
  /// The gate was commanded for one container; the eye must see it go by `by`.
  void expect(Instant by, Counters& counters) {
    if (due_.full()) miss(counters);
    due_.push_back(by);
  }
  void on_confirmed() {
    if (due_.empty()) return;
    due_.pop_front();
    missed_ = 0;
  }
  void settle(Instant now, Counters& counters) {
    while (now >= due()) miss(counters);
  }
  /// So many were missed, one after the other.
  int missed() const { return missed_; }
  Instant due() const { return due_.empty() ? kNever : due_.front(); }
  void clear() { *this = RejectEye{}; }

 private:
  void miss(Counters& counters) {
    counters.add(Counter::kRejectUnconfirmed);
    due_.pop_front();
    ++missed_;
  }

  FixedRing<Instant, 32> due_;
  int missed_ = 0;
};

}  // namespace rimebench
