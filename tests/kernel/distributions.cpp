#include "plant_model/kernel/distributions.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>

#include "plant_model/kernel/random.hpp"

using namespace rimebench;

namespace {

double relative_error(double got, double wanted) {
  return wanted == 0.0 ? std::abs(got) : std::abs(got / wanted - 1.0);
}

}  // namespace

TEST_CASE("distributions: the logarithms of 2 and 10 are the tabulated ones, that of 1 is 0") {
  CHECK(natural_log(2.0) == 0.69314718055994530942);
  CHECK(natural_log(10.0) == 2.30258509299404568402);
  CHECK(natural_log(1.0) == 0.0);
}

TEST_CASE("distributions: the own logarithm follows the C library's within 4e-16 of its value") {
  RandomStream stream(11, 1, 0);
  double worst = 0.0;
  for (int i = 0; i < 300'000; ++i) {
    // Every exponent of a normal double in turn, every third draw in the delicate range about 1.
    const std::uint64_t exponent =
        i % 3 == 0 ? 1022u + stream.word() % 2 : 1u + stream.word() % 2046;
    const std::uint64_t mantissa = (std::uint64_t{stream.word()} << 20) ^ stream.word() >> 12;
    const auto x = std::bit_cast<double>((exponent << 52) | mantissa);
    worst = std::max(worst, relative_error(natural_log(x), std::log(x)));
  }
  CHECK(worst < 4e-16);
}

TEST_CASE("distributions: the own logarithm keeps its digits close to 1, where it is close to 0") {
  double worst = 0.0;
  for (int i = 1; i < 50; ++i) {
    const double above = 1.0 + std::ldexp(1.0, -i);
    const double below = 1.0 - std::ldexp(1.0, -i - 1);
    worst = std::max(worst, relative_error(natural_log(above), std::log(above)));
    worst = std::max(worst, relative_error(natural_log(below), std::log(below)));
  }
  CHECK(worst < 4e-16);
}

TEST_CASE("distributions: the normal quantile undoes the error function from -8 to 8 deviations") {
  double worst = 0.0;
  for (int i = -800; i <= 0; ++i) {
    const double z = i / 100.0;
    const double p = 0.5 * std::erfc(-z / std::sqrt(2.0));
    worst = std::max(worst, std::abs(normal_quantile(p) - z) / std::max(1.0, std::abs(z)));
  }
  CHECK(worst < 1e-15);
}

TEST_CASE("distributions: the three forms of the normal quantile meet where they join") {
  for (const double joint : {0.075, std::exp(-25.0)}) {
    const double below = std::nextafter(joint, 0.0);
    const double above = std::nextafter(joint, 1.0);
    CHECK(relative_error(normal_quantile(below), normal_quantile(above)) < 3e-15);
  }
}

TEST_CASE("distributions: a normal of the complementary word is the exact negative") {
  RandomStream stream(12, 1, 0);
  for (int i = 0; i < 10'000; ++i) {
    const std::uint32_t word = stream.word();
    REQUIRE(standard_normal(~word) == -standard_normal(word));
  }
}

TEST_CASE("distributions: a million normals have the moments 0, 1, 0, 3 and 68.27 % within one") {
  const int draws = 1'000'000;
  RandomStream stream(13, 1, 0);
  double sums[5] = {};
  int within = 0;
  for (int i = 0; i < draws; ++i) {
    const double z = stream.normal();
    within += std::abs(z) < 1.0 ? 1 : 0;
    for (int power = 1; power < 5; ++power) sums[power] += std::pow(z, power);
  }
  // Four standard errors: the variances of z, z^2, z^3, z^4 are 1, 2, 15, 96.
  const double root = std::sqrt(double{draws});
  CHECK(std::abs(sums[1] / draws) < 4 * 1.0 / root);
  CHECK(std::abs(sums[2] / draws - 1.0) < 4 * std::sqrt(2.0) / root);
  CHECK(std::abs(sums[3] / draws) < 4 * std::sqrt(15.0) / root);
  CHECK(std::abs(sums[4] / draws - 3.0) < 4 * std::sqrt(96.0) / root);
  CHECK(std::abs(within / double{draws} - 0.682689492137) < 4 * 0.4655 / root);
}

TEST_CASE("distributions: a million exponentials have mean 1 and variance 1") {
  const int draws = 1'000'000;
  RandomStream stream(14, 1, 0);
  double sum = 0.0;
  double squares = 0.0;
  for (int i = 0; i < draws; ++i) {
    const double x = stream.exponential();
    sum += x;
    squares += (x - 1.0) * (x - 1.0);
  }
  // Four standard errors: the variance of x is 1, that of (x - 1)^2 is 8.
  const double root = std::sqrt(double{draws});
  CHECK(std::abs(sum / draws - 1.0) < 4 / root);
  CHECK(std::abs(squares / draws - 1.0) < 4 * std::sqrt(8.0) / root);
}
