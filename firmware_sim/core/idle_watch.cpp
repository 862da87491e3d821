#include "firmware_sim/core/idle_watch.hpp"

namespace rimebench {

bool IdleWatch::take_unsteady(std::optional<bool> body_cold, const IdleLimits& limits) {
  if (limits.idle_max == 0_us) return false;
  if (body_cold) return !*body_cold;
  if (unsteady_left_ == 0) return false;
  --unsteady_left_;
  return true;
}

}  // namespace rimebench
