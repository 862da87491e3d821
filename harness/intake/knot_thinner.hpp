#pragma once

#include <cstdint>
#include <functional>
#include <limits>
#include <optional>

#include "plant_model/spec/happening.hpp"

namespace rimebench {

/// Leaves out knots that lie within a tolerance of the straight line between those it keeps.
class KnotThinner {
 public:
  KnotThinner(double tolerance, std::function<void(const SpeedKnot&)> sink);

  /// Times must rise.
  void add(const SpeedKnot& knot);
  /// The last knot is always kept.
  void finish();
  std::int64_t kept() const { return kept_; }

 private:
  struct Slopes {
    double least{-std::numeric_limits<double>::infinity()};
    double most{std::numeric_limits<double>::infinity()};
  };
  void keep(const SpeedKnot& knot);
  double seconds_to(const SpeedKnot& knot) const;

  double tolerance_;
  std::function<void(const SpeedKnot&)> sink_;
  std::optional<SpeedKnot> from_;  ///< kept last
  std::optional<SpeedKnot> last_;  ///< not yet kept
  Slopes slopes_;                  ///< of the lines from from_ that pass every knot since closely
  std::int64_t kept_{0};
};

}  // namespace rimebench
