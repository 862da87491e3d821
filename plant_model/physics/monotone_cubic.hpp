#pragma once

#include <span>

namespace rimebench::physics {

/// Interpolates y(x) through tabulated points without overshooting between them (Steffen, Astron.
/// Astrophys. 239 (1990) 443: a cubic whose slopes are limited so that no new extremum appears).
/// `x` rises strictly and has at least three points, `y` is as long. Outside the table the end
/// value is returned.
double monotone_cubic(std::span<const double> x, std::span<const double> y, double at);

}  // namespace rimebench::physics
