#include "firmware_sim/core/valve_speed.hpp"

namespace rimebench {

bool ValveSpeed::watch(Instant now, bool feedback, const SlowLimits& limits) {
  const bool late = follows_late(now, feedback, limits);
  const bool newly_slow = late && !slow_ && limits.after > 0_us;
  if (!newly_slow) return false;
  slow_ = true;
  ++in_row_;
  return true;
}

void ValveSpeed::command(Instant now, const ValveRequest& command) {
  if (command.open && !commanded_) {
    opening_ = !feedback_;
    shutting_ = true;
    slow_ = false;
    commanded_at_ = now;
    container_ = command.container;
  }
  if (!command.open && commanded_) released_at_ = now;
  commanded_ = command.open;
}

/// True if the feedback has just followed its command, and late. A shot that was never late ends
/// the row of slow ones.
bool ValveSpeed::follows_late(Instant now, bool feedback, const SlowLimits& limits) {
  const bool rose = feedback && !feedback_;
  const bool fell = !feedback && feedback_;
  feedback_ = feedback;
  if (rose && opening_) {
    opening_ = false;
    return now > commanded_at_ + limits.after;
  }
  if (!fell || !shutting_ || commanded_) return false;
  shutting_ = false;
  const bool late = now > released_at_ + limits.after;
  if (!late && !slow_) in_row_ = 0;
  return late;
}

}  // namespace rimebench
