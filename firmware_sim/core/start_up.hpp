#pragma once

#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Brings a warm, wet head to its first dose, one phase after the other:
///   dry purge      purge_us with the supply closed; the valve pulses, so that its seat dries too
///   cool-down      supply open, the valve pulses, until the head has been cold for cold_hold_us;
///                  longer than cool_down_us_max is a fault
///   test shots     test_shots_at_start of them
/// A phase of which the recipe asks nothing is over in the instant it begins.
class StartUp {
 public:
  enum class Phase : std::uint8_t { kPurge, kCoolDown, kTest, kReady };

  void begin(Instant now) {
    phase_ = Phase::kPurge;
    since_ = now;
    cold_since_ = kNever;
  }
  /// Moves on as far as this instant allows. `cold`: the head is, at this instant.
  void settle(Instant now, const StartLimits& limits, bool cold, bool tests_done);

  Phase phase() const { return phase_; }
  /// Not proven cold in time.
  bool too_long(Instant now, const StartLimits& limits) const;
  /// The next instant at which time alone makes settle() or too_long() act.
  Instant due(const StartLimits& limits) const;

 private:
  void enter(Phase phase, Instant now);

  Phase phase_ = Phase::kReady;
  Instant since_;                ///< the present phase began
  Instant cold_since_ = kNever;  ///< kNever: not cold
};

}  // namespace rimebench
