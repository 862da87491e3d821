#pragma once

#include <algorithm>
#include <cstdint>

#include "plant_model/kernel/distributions.hpp"

namespace rimebench {

/// Delays and flow vary by at most this many deviations, so that feedback has a least delay.
inline constexpr double kDeviationMax = 3.0;

inline double deviation(std::uint32_t word) {
  return std::clamp(standard_normal(word), -kDeviationMax, kDeviationMax);
}

}  // namespace rimebench
