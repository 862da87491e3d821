#pragma once

#include <cmath>

namespace rimebench::physics {

/// How far a computed value lies from a published one, as a share of the published one.
inline double relative_error(double computed, double published) {
  return std::abs(computed - published) / std::abs(published);
}

}  // namespace rimebench::physics
