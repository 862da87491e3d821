#pragma once

#include <cstdint>

namespace rimebench {

inline constexpr double kMetresPerUm = 1e-6;
inline constexpr double kSecondsPerUs = 1e-6;

/// From the boundary's integers to SI.
constexpr double metres(std::int64_t um) { return static_cast<double>(um) * kMetresPerUm; }
constexpr double seconds(std::int64_t us) { return static_cast<double>(us) * kSecondsPerUs; }

}  // namespace rimebench
