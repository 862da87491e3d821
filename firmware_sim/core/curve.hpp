#pragma once

#include <array>
#include <cstdint>

#include "firmware_sim/contract/parameter.hpp"

namespace rimebench {

/// A rising table of at most kCurvePoints points {x, y}, read by linear interpolation.
class Curve {
 public:
  Curve() = default;
  /// Takes the points of two recipe lists: a point counts while x strictly rises, the unused tail
  /// is 0, and a single {0, 0} is no point at all.
  Curve(const RecipeValues& values, Parameter x, Parameter y);

  bool empty() const { return size_ == 0; }
  /// True where x lies between the first and the last point. Never on an empty curve.
  bool spans(std::int64_t x) const;
  /// y of the last point. Never on an empty curve.
  std::int64_t last() const;
  /// The greatest y. Never on an empty curve.
  std::int64_t most() const;
  /// y at x, rounded down; before the first point and past the last y is held. Never on an empty
  /// curve.
  std::int64_t at(std::int64_t x) const;

 private:
  std::array<std::int32_t, kCurvePoints> x_{};
  std::array<std::int32_t, kCurvePoints> y_{};
  unsigned size_ = 0;
};

/// How many leading entries of a list strictly rise: the first entry always counts.
int rising_entries(const RecipeValues& values, Parameter list);

}  // namespace rimebench
