#include "harness/intake/knot_thinner.hpp"

#include <algorithm>
#include <utility>

namespace rimebench {

namespace {

/// Rounding of a slope must not keep a knot on a straight line.
constexpr double kRoundingPerMin = 1e-9;

}  // namespace

KnotThinner::KnotThinner(double tolerance, std::function<void(const SpeedKnot&)> sink)
    : tolerance_(tolerance + kRoundingPerMin), sink_(std::move(sink)) {}

double KnotThinner::seconds_to(const SpeedKnot& knot) const {
  return static_cast<double>((knot.at - from_->at).raw) * 1e-6;
}

void KnotThinner::keep(const SpeedKnot& knot) {
  sink_(knot);
  ++kept_;
  from_ = knot;
  last_.reset();
  slopes_ = {};
}

void KnotThinner::add(const SpeedKnot& knot) {
  if (!from_) return keep(knot);
  double rise = knot.containers_per_min - from_->containers_per_min;
  const double slope = rise / seconds_to(knot);
  if (last_ && (slope < slopes_.least || slopes_.most < slope)) {
    keep(*last_);
    rise = knot.containers_per_min - from_->containers_per_min;
  }
  const double dt = seconds_to(knot);
  slopes_.least = std::max(slopes_.least, (rise - tolerance_) / dt);
  slopes_.most = std::min(slopes_.most, (rise + tolerance_) / dt);
  last_ = knot;
}

void KnotThinner::finish() {
  if (last_) keep(*last_);
}

}  // namespace rimebench
