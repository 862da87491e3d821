#pragma once

#include "firmware_sim/contract/signal_change.hpp"
#include "firmware_sim/core/outputs.hpp"

namespace rimebench {

/// Decides, for each container on the belt, when the dosing valve opens and shuts, and which
/// containers the reject gate must take.
///
/// on_change, advance and next_wake are the only entries; core/grant.hpp is the one loop that
/// drives them. Time comes only from the inputs: no clock, heap, thread, float, exception or
/// recursion.
class DoseController {
 public:
  /// Takes one input. Inputs come in time order, those of one instant in channel order, none at or
  /// before an instant already settled, and none while an earlier instant waits to be settled.
  void on_change(SignalChange change);

  /// Settles the earliest unsettled instant before `until`: all inputs taken at it, then the timers
  /// due at it. Returns that one instant's output changes; empty also if there is no such instant.
  Outputs advance(Instant until);

  /// The instant advance() would settle next; kNever if none. Holds only until the next input.
  Instant next_wake() const;
};

}  // namespace rimebench
