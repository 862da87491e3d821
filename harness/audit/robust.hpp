#pragma once

/// Figures that were measured many times, some of them perhaps wrongly.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "plant_model/planner/fit.hpp"

namespace rimebench {

inline constexpr double kAuditConfidence = 0.95;
/// Modified z-score beyond which a value counts as an outlier (Iglewicz and Hoaglin; NIST/SEMATECH
/// e-Handbook, 1.3.5.17).
inline constexpr double kOutlierScore = 3.5;

/// Outliers are counted and left out of mean, spread and interval; the median keeps them.
struct Measured {
  std::int64_t count{};     ///< values, outliers included
  std::int64_t outliers{};  ///< by their modified z-score
  double median{};
  double sd{};    ///< of one value
  Estimate mean;  ///< Student's t; both ends are the mean where fewer than two values are left
};

/// Standard deviation of a normal sample with the same median absolute deviation.
double robust_sd(std::vector<double> values);
double median_of(std::vector<double> values);

/// Which values stand out. `resolution`: the step in which they come; a spread less than that is
/// none.
std::vector<bool> outlying(const std::vector<double>& values, double resolution);

Measured measure(const std::vector<double>& values, double resolution);

}  // namespace rimebench
