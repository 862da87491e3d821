#include "plant_model/physics/monotone_cubic.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

namespace rimebench::physics {
namespace {

TEST_CASE("table: a curve bending gently, like x^2 from 1 to 5, is met exactly") {
  constexpr std::array<double, 5> x{1.0, 2.0, 3.0, 4.0, 5.0};
  constexpr std::array<double, 5> y{1.0, 4.0, 9.0, 16.0, 25.0};
  for (double at = 1.0; at <= 5.0; at += 0.125) {
    CAPTURE(at);
    CHECK(std::abs(monotone_cubic(x, y, at) - at * at) < 1.0e-12);
  }
}

TEST_CASE("table: a sudden step is never overshot") {
  constexpr std::array<double, 6> x{0.0, 1.0, 2.0, 2.1, 3.0, 4.0};
  constexpr std::array<double, 6> y{0.0, 0.01, 0.02, 1.0, 1.01, 1.02};
  double before = 0.0;
  for (double at = 0.0; at <= 4.0; at += 0.01) {
    CAPTURE(at);
    const double here = monotone_cubic(x, y, at);
    CHECK(here >= before);
    CHECK(here <= 1.02);
    before = here;
  }
}

TEST_CASE("table: outside its ends the end value stands") {
  constexpr std::array<double, 3> x{1.0, 2.0, 4.0};
  constexpr std::array<double, 3> y{5.0, 3.0, 2.0};
  CHECK(monotone_cubic(x, y, 0.0) == 5.0);
  CHECK(monotone_cubic(x, y, 9.0) == 2.0);
}

}  // namespace
}  // namespace rimebench::physics
