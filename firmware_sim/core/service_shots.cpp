#include "firmware_sim/core/service_shots.hpp"

namespace rimebench {

void ServiceShots::settle(Instant now, const std::optional<ServiceOrder>& order, bool clear,
                          Instant rested_at, Counters& counters) {
  const bool wanted = order && clear;
  if (!wanted || (open_ && order->kind != *open_)) cut(now, counters);
  if (open_ || !wanted || now < due(order, rested_at)) return;
  open_ = order->kind;
  close_at_ = now + order->open;
  next_at_ = now + order->period;
  if (*open_ == ShotKind::kCoolDown) counters.add(Counter::kCoolDownShot);
}

void ServiceShots::end(Instant now, Counters& counters) {
  if (*open_ == ShotKind::kTest && now >= close_at_) {
    --tests_left_;
    counters.add(Counter::kTestShot);
  }
  open_.reset();
  closed_at_ = now;
  next_at_ = later(next_at_, now + 1_us);  // whatever the period, the valve shuts between two shots
}

Instant ServiceShots::due(const std::optional<ServiceOrder>& order, Instant rested_at) const {
  if (open_) return close_at_;
  return order ? later(next_at_, rested_at) : kNever;
}

}  // namespace rimebench
