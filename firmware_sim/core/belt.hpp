#pragma once

#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Later than every place on the belt.
inline constexpr Length kNowhere{kNever.us};

/// What a line pulse turned out to be.
enum class PulseVerdict : std::uint8_t {
  kPlausible,
  kExtra,   ///< too soon after the last: not taken
  kLost,    ///< so late that others must be missing: they are put in
  kByHand,  ///< the belt stood and has no permit: it was moved, nobody knows which way
};

/// Position and speed of the belt, from line pulses or, on a line without, from the line speed
/// while the line has its run permit.
/// The belt moves one step a period from its origin. With pulses a step is their pitch, the period
/// the last one seen, and the position never passes a pulse not yet seen. Without, a step is one
/// second's travel. Until the period is known (two pulses) the speed is 0.
class Belt {
 public:
  /// Takes a new recipe; the position goes on from where it is.
  void configure(Instant now, const Recipe& recipe, bool running);
  /// Where pulses are held against each other, no pulse may mean a belt above speed_max, and at
  /// working speed, which no belt changes by half at once, no period may jump. Without its permit
  /// the belt coasts until its pulses stay away; one that comes after that was made by hand.
  PulseVerdict on_pulse(Instant now, const Recipe& recipe, bool running);
  void on_run_permit(Instant now, bool running);

  Length position(Instant now) const;
  /// So far it has surely come: with pulses where its last one was, without its position.
  Length sure_position(Instant now) const { return pulsed_ ? origin_ : position(now); }
  /// Of a belt with pulses: one has shown it there.
  bool pulsed_to(Length place) const { return place <= origin_; }
  /// What lies before sure_position, but lay past it before, was passed between then and now.
  Instant sure_before(Instant now) const { return pulsed_ ? pulse_before_ : now; }
  /// Falls while a pulse is overdue, so that a stopping belt is seen to slow.
  Speed speed(Instant now) const;

  /// When the position reaches `place`; kNever if that has to wait for a pulse or for the permit.
  Instant time_of(Length place) const;
  /// The same, extrapolated past the next pulse with the present period; kNever without a speed.
  Instant arrival(Length place) const;
  Instant next_pulse_expected() const;
  bool pulsed() const { return pulsed_; }
  /// The last pulse, or the last change of the run permit where there is none.
  Instant changed_at() const { return since_; }
  /// Stopped on a line without pulses: nothing tells how far it really coasted.
  bool held() const { return !pulsed_ && period_ == 0_us; }
  /// True if `lead` before the arrival at `place` surely lies past the next expected pulse. Cheap:
  /// no division.
  bool surely_past_next_pulse(Length place, Duration lead) const;

 private:
  void restart(Instant now, Length position, Duration period);
  Speed last_speed() const;
  std::int64_t pulses_missing(Duration period, const Recipe& recipe);
  std::int64_t pulses_missed_before(Duration period, const Recipe& recipe);
  bool too_soon(Duration period, const Recipe& recipe) const;
  bool moves(Duration period) const;

  bool pulsed_ = false;
  bool pulse_seen_ = false;
  bool jumped_ = false;       ///< the last period was longer than it could be
  int slow_ = 0;              ///< pulses since a second one was, which a slower belt may have made
  bool ran_through_ = false;  ///< with its permit since the last pulse
  bool moved_ = false;        ///< the belt did not stand between the last two pulses
  Instant since_;
  Instant pulse_before_;  ///< the last but one
  Length origin_;
  Length step_;
  Duration period_;
};

}  // namespace rimebench
