#include "firmware_sim/core/guard.hpp"

#include "firmware_sim/core/defects.hpp"

namespace rimebench {

namespace {

Duration open_max(ShotKind kind, const GuardLimits& limits) {
  switch (kind) {
    case ShotKind::kContainer:
      return limits.open_max;
    case ShotKind::kStream:
      return limits.stream_max;
    case ShotKind::kCoolDown:
      return limits.cool_down_open;
    case ShotKind::kTest:
      return limits.test_open;
  }
  return limits.open_max;  // unreached: every kind of shot is answered above
}

}  // namespace

void Guard::watch(Instant now, const Interlocks& interlocks, bool in_use) {
  if constexpr (kDefectNoGuard) return;
  if (in_use && !interlocks.safety_chain) latch(Fault::kSafetyChainLost);
  if (in_use && !interlocks.link_alive) latch(Fault::kLinkLost);
  if (in_use && !interlocks.room_oxygen) latch(Fault::kRoomOxygenLow);
  if (in_use && !interlocks.supply_ready) latch(Fault::kSupplyLost);

  (interlocks.valve_feedback ? feedback_open_by_ : feedback_closed_by_) = kNever;
  shown_ = shown_ || interlocks.valve_feedback;
  if (now >= feedback_closed_by_) latch(Fault::kValveStuckOpen);
  if (now >= feedback_open_by_) latch(Fault::kValveStuckClosed);
}

bool Guard::allow(Instant now, const ValveRequest& request, const Interlocks& interlocks,
                  const GuardLimits& limits) {
  if constexpr (kDefectNoGuard) return request.open;
  const bool names_container = request.container || !doses(request.kind);
  if (request.open && !names_container) latch(Fault::kOpenWithoutContainer);
  if (valve_ && request.open && now >= open_until_) latch(Fault::kOpenTooLong);

  const bool may_open = fault_ == Fault::kNone && permitted(request.kind, interlocks);
  spent_ = request.open && (spent_ || !may_open);
  const bool open = request.open && !spent_;
  if (open && !valve_) {
    opened_at_ = now;
    open_until_ = now + open_max(request.kind, limits);
    shown_ = interlocks.valve_feedback;
  }
  if (!open && valve_) {
    // A command shorter than the shortest shot need not show at the valve.
    if (shown_ || now - opened_at_ < limits.open_min) feedback_open_by_ = kNever;
    open_until_ = kNever;
  }
  valve_ = open;
  expect_feedback(now, interlocks.valve_feedback, limits);
  return valve_;
}

bool Guard::permitted(ShotKind kind, const Interlocks& interlocks) {
  const bool to_the_line = doses(kind);
  return interlocks.healthy() && (to_the_line ? interlocks.run_permit : interlocks.nozzle_clear);
}

void Guard::expect_feedback(Instant now, bool feedback, const GuardLimits& limits) {
  if (fault_ != Fault::kNone || limits.feedback_max == 0_us) {
    feedback_open_by_ = feedback_closed_by_ = kNever;
    return;
  }
  // A shot shorter than the allowance must still show: a deadline outlives the command that set it.
  const Instant by = now + limits.feedback_max;
  if (valve_ && !feedback) feedback_open_by_ = earlier(feedback_open_by_, by);
  if (!valve_ && feedback) feedback_closed_by_ = earlier(feedback_closed_by_, by);
}

void Guard::latch(Fault fault) {
  if (fault_ == Fault::kNone) fault_ = fault;
}

Instant Guard::due() const {
  return earlier(open_until_, earlier(feedback_open_by_, feedback_closed_by_));
}

}  // namespace rimebench
