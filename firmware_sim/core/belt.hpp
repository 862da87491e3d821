#pragma once

#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Later than every place on the belt.
inline constexpr Length kNowhere{kNever.us};

/// Position and speed of the belt, from line pulses or, on a line without, from the line speed
/// while the line has its run permit.
/// The belt moves one step a period from its origin. With pulses a step is their pitch, the period
/// the last one seen, and the position never passes a pulse not yet seen. Without, a step is one
/// second's travel. Until the period is known (two pulses) the speed is 0.
class Belt {
 public:
  /// Takes a new recipe; the position goes on from where it is.
  void configure(Instant now, const Recipe& recipe, bool running);
  void on_pulse(Instant now);
  void on_run_permit(Instant now, bool running);

  Length position(Instant now) const;
  /// Falls while a pulse is overdue, so that a stopping belt is seen to slow.
  Speed speed(Instant now) const;

  /// When the position reaches `place`; kNever if that has to wait for a pulse or for the permit.
  Instant time_of(Length place) const;
  /// The same, extrapolated past the next pulse with the present period; kNever without a speed.
  Instant arrival(Length place) const;
  Instant next_pulse_expected() const;
  /// The last pulse, or the last change of the run permit where there is none.
  Instant changed_at() const { return since_; }
  /// Stopped on a line without pulses: nothing tells how far it really coasted.
  bool held() const { return !pulsed_ && period_ == 0_us; }
  /// True if `lead` before the arrival at `place` surely lies past the next expected pulse. Cheap:
  /// no division.
  bool surely_past_next_pulse(Length place, Duration lead) const;

 private:
  void restart(Instant now, Length position, Duration period);

  bool pulsed_ = false;
  bool pulse_seen_ = false;
  Instant since_;
  Length origin_;
  Length step_;
  Duration period_;
};

}  // namespace rimebench
