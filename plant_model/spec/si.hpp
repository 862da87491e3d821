#pragma once

#include <cstdint>

#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

inline constexpr double kMetresPerUm = 1e-6;
inline constexpr double kSecondsPerUs = 1e-6;
inline constexpr double kKpaPerPsi = 6.894757293168;  // NIST SP 811, Appendix B.8

/// From the boundary's integers to SI. Durations set times: their division rounds once.
constexpr double metres(std::int64_t um) { return static_cast<double>(um) * kMetresPerUm; }
constexpr double seconds(std::int64_t us) { return static_cast<double>(us) * kSecondsPerUs; }
constexpr double seconds(Duration d) {
  return static_cast<double>(d.raw) / static_cast<double>(kMicrosPerSecond);
}

}  // namespace rimebench
