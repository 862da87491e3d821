#pragma once

namespace rimebench {

/// First-order lag of `value` towards `target`, in the form that every machine rounds alike.
inline void follow(double& value, double target, double dt_s, double tau_s) {
  value += (target - value) * dt_s / (tau_s + dt_s);
}

}  // namespace rimebench
