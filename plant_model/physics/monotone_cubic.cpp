#include "plant_model/physics/monotone_cubic.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace rimebench::physics {
namespace {

/// Secant slope from point i to point i + 1.
double secant(std::span<const double> x, std::span<const double> y, std::size_t i) {
  return (y[i + 1] - y[i]) / (x[i + 1] - x[i]);
}

/// Slope at an end point: that of the parabola through the three end points, limited to twice the
/// nearest secant.
double end_slope(double near_secant, double far_secant, double near_step, double far_step) {
  const double share = near_step / (near_step + far_step);
  const double parabola = near_secant * (1.0 + share) - far_secant * share;
  if (parabola * near_secant <= 0.0) return 0.0;
  return std::abs(parabola) > 2.0 * std::abs(near_secant) ? 2.0 * near_secant : parabola;
}

double slope(std::span<const double> x, std::span<const double> y, std::size_t i) {
  const std::size_t last = x.size() - 1;
  if (i == 0) return end_slope(secant(x, y, 0), secant(x, y, 1), x[1] - x[0], x[2] - x[1]);
  if (i == last) {
    return end_slope(secant(x, y, last - 1), secant(x, y, last - 2), x[last] - x[last - 1],
                     x[last - 1] - x[last - 2]);
  }
  const double left = secant(x, y, i - 1);
  const double right = secant(x, y, i);
  if (left * right <= 0.0) return 0.0;
  const double left_step = x[i] - x[i - 1];
  const double right_step = x[i + 1] - x[i];
  const double parabola = (left * right_step + right * left_step) / (left_step + right_step);
  const double limit = 2.0 * std::min(std::abs(left), std::abs(right));
  return std::copysign(std::min(std::abs(parabola), limit), left);
}

}  // namespace

double monotone_cubic(std::span<const double> x, std::span<const double> y, double at) {
  if (at <= x.front()) return y.front();
  if (at >= x.back()) return y.back();
  const auto above = std::upper_bound(x.begin(), x.end(), at);
  const auto i = static_cast<std::size_t>(above - x.begin()) - 1;
  const double step = x[i + 1] - x[i];
  const double rise = secant(x, y, i);
  const double from = slope(x, y, i);
  const double to = slope(x, y, i + 1);
  const double cubic = (from + to - 2.0 * rise) / (step * step);
  const double square = (3.0 * rise - 2.0 * from - to) / step;
  const double d = at - x[i];
  return y[i] + d * (from + d * (square + d * cubic));
}

}  // namespace rimebench::physics
