#pragma once

#include <optional>

#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Knows how long the valve has been shut, and whether the next dose is steady. Where the dosing
/// body has a sensor that alone tells; elsewhere a head that has idled is unsteady for
/// unsteady_count shots.
class IdleWatch {
 public:
  /// Production begins. `proven`: the start has just proven the head cold.
  void begin(Instant now, bool proven, const IdleLimits& limits) {
    shut_since_ = now;
    unsteady_left_ = proven ? 0 : limits.unsteady_count;
  }
  /// The valve was shut.
  void on_shut(Instant now) { shut_since_ = now; }
  /// The valve was opened.
  void on_open(Instant now, const IdleLimits& limits) {
    if (now >= shut_since_ + limits.idle_max) unsteady_left_ = limits.unsteady_count;
  }
  /// One shot more, or one container more of a stream: true if its dose is not steady. `body_cold`:
  /// what the dosing body's sensor says; nothing if there is none.
  bool take_unsteady(std::optional<bool> body_cold, const IdleLimits& limits);

  Instant shut_since() const { return shut_since_; }

 private:
  Instant shut_since_;
  int unsteady_left_ = 0;
};

}  // namespace rimebench
