#pragma once

#include "firmware_sim/contract/fault.hpp"
#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/core/valve_request.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// The wires that may close the valve whatever the dosing logic thinks.
struct Interlocks {
  bool run_permit = false;
  bool safety_chain = false;
  bool supply_ready = false;
  bool link_alive = false;
  bool valve_feedback = false;
  bool room_oxygen = true;    ///< enough; true where no sample is wired
  bool nozzle_clear = false;  ///< no container is under the nozzle or due there

  bool healthy() const { return safety_chain && supply_ready && link_alive && room_oxygen; }
};

/// The first guard's word on the valve. An opening must name a container, or be a cool-down or test
/// shot into a clear nozzle. It shares no state with the shot timer: it sees the requested level
/// with the container it names, and the interlocks, and keeps its own clock on the open valve.
/// Without its interlocks the valve is closed in the same instant; a request that was closed over
/// must go away before the valve opens again.
class Guard {
 public:
  /// Looks at the interlocks and the valve's feedback before anything is decided. `in_use`: the
  /// controller is in Idle, Execute or Suspended, so a lost interlock is a fault.
  void watch(Instant now, const Interlocks& interlocks, bool in_use);
  /// The valve's level now.
  bool allow(Instant now, const ValveRequest& request, const Interlocks& interlocks,
             const GuardLimits& limits);

  /// The latched fault; kNone if all is well.
  Fault fault() const { return fault_; }
  /// Whatever was still expected of the feedback is forgotten with the fault.
  void reset() {
    fault_ = Fault::kNone;
    feedback_open_by_ = feedback_closed_by_ = kNever;
  }
  /// The next instant at which time alone is a fault.
  Instant due() const;

 private:
  static bool permitted(ShotKind kind, const Interlocks& interlocks);
  void latch(Fault fault);
  void expect_feedback(Instant now, bool feedback, const GuardLimits& limits);

  Fault fault_ = Fault::kNone;
  bool valve_ = false;
  bool spent_ = false;  ///< the present request was closed over
  bool shown_ = false;  ///< the feedback has followed the present open command
  Instant opened_at_;
  Instant open_until_ = kNever;
  Instant feedback_open_by_ = kNever;
  Instant feedback_closed_by_ = kNever;
};

}  // namespace rimebench
