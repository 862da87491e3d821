#include "firmware_sim/core/start_up.hpp"

namespace rimebench {

void StartUp::settle(Instant now, const StartLimits& limits, bool cold, bool tests_done) {
  if (phase_ == Phase::kPurge && now >= since_ + limits.purge) enter(Phase::kCoolDown, now);
  if (phase_ == Phase::kCoolDown) {
    cold_since_ = cold ? earlier(cold_since_, now) : kNever;
    const bool proven = cold && now >= cold_since_ + limits.cold_hold;
    if (limits.cool_down_max == 0_us || proven) enter(Phase::kTest, now);
  }
  if (phase_ == Phase::kTest && (limits.test_shots == 0 || tests_done)) enter(Phase::kReady, now);
}

void StartUp::enter(Phase phase, Instant now) {
  phase_ = phase;
  since_ = now;
}

bool StartUp::too_long(Instant now, const StartLimits& limits) const {
  return phase_ == Phase::kCoolDown && now >= since_ + limits.cool_down_max;
}

Instant StartUp::due(const StartLimits& limits) const {
  switch (phase_) {
    case Phase::kPurge:
      return since_ + limits.purge;
    case Phase::kCoolDown:
      return earlier(since_ + limits.cool_down_max, cold_since_ + limits.cold_hold);
    case Phase::kTest:
      return kNever;
    case Phase::kReady:  // unreached: nobody asks a start that is over
      return kNever;     // unreached: the same
  }
  return kNever;  // unreached: every phase is answered above
}

}  // namespace rimebench
