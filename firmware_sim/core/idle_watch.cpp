#include "firmware_sim/core/idle_watch.hpp"

namespace rimebench {

bool IdleWatch::take_unsteady(bool proven) {
  if (proven) unsteady_left_ = 0;
  if (unsteady_left_ == 0) return false;
  --unsteady_left_;
  return true;
}

}  // namespace rimebench
