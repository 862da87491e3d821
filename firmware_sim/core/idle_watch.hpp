#pragma once

#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Knows how long the valve has been shut. A head that has idled gives unsteady doses at first: the
/// first unsteady_count shots flag their containers, unless the dosing body proves itself cold.
class IdleWatch {
 public:
  /// Production begins. `proven`: the start has just proven the head cold.
  void begin(Instant now, bool proven, const IdleLimits& limits) {
    shut_since_ = now;
    unsteady_left_ = proven ? 0 : first_unsteady(limits);
  }
  /// The valve was shut.
  void on_shut(Instant now) { shut_since_ = now; }
  /// The valve was opened.
  void on_open(Instant now, const IdleLimits& limits) {
    if (now >= shut_since_ + limits.idle_max) unsteady_left_ = first_unsteady(limits);
  }
  /// One shot more, or one container more of a stream: true if its dose is not steady. `proven`:
  /// the dosing body's sensor shows the head cold.
  bool take_unsteady(bool proven);

  Instant shut_since() const { return shut_since_; }

 private:
  static int first_unsteady(const IdleLimits& limits) {
    return limits.idle_max > 0_us ? limits.unsteady_count : 0;
  }

  Instant shut_since_;
  int unsteady_left_ = 0;
};

}  // namespace rimebench
