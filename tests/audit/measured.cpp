/// The statistics of an audit against published and exact figures.

#include <doctest/doctest.h>

#include <cmath>

#include "harness/audit/delay_law.hpp"
#include "harness/audit/robust.hpp"
#include "harness/audit/shot_match.hpp"

using namespace rimebench;

TEST_CASE("mean and interval: NIST's ZARR13 flow meter, ten values (from memory)") {
  // The first ten values of the data set (NIST/SEMATECH e-Handbook 1.4.2.8), from memory; mean and
  // deviation of these ten worked out by hand.
  const std::vector<double> values{9.206343, 9.299992, 9.277895, 9.305795, 9.275351,
                                   9.288729, 9.287239, 9.260973, 9.303111, 9.275674};
  const Measured m = measure(values, 1e-6);
  CHECK(m.count == 10);
  // 0.6745 (9.206343 - 9.2789315) / 0.012735 is -3.84: the first one stands out.
  CHECK(m.outliers == 1);
  CHECK(m.mean.value == doctest::Approx(9.28608433).epsilon(1e-8));
  CHECK(m.sd == doctest::Approx(0.01500580).epsilon(1e-6));
  // t of 8 degrees of freedom: 2.306 (e-Handbook, 1.3.6.7.2).
  CHECK(m.mean.high - m.mean.value == doctest::Approx(2.306 * m.sd / 3.0).epsilon(1e-3));
}

TEST_CASE("an outlier is counted and left out of the mean, the median hardly moves") {
  std::vector<double> values;
  for (int i = 0; i < 99; ++i) values.push_back(100.0 + i % 9 - 4);
  values.push_back(5000.0);
  const Measured m = measure(values, 1.0);
  CHECK(m.outliers == 1);
  CHECK(m.mean.value == doctest::Approx(100.0));
  CHECK(m.median == doctest::Approx(100.0));
}

TEST_CASE("values that are all the same have no outliers but those that differ by the resolution") {
  std::vector<double> values(50, 7.0);
  values[10] = 8.0;
  CHECK(measure(values, 1.0).outliers == 0);
  values[10] = 12.0;
  CHECK(measure(values, 1.0).outliers == 1);
}

TEST_CASE("a delay made of 30 ms and 200 mm is neither time nor distance, and both are found") {
  std::vector<DelayPoint> points;
  for (int i = 0; i < 400; ++i) {
    const double slowness = 1.0 + i / 200.0;  // us/um: 1 m/s down to 0.33
    const double noise = 40.0 * std::sin(7.0 * i);
    points.push_back({30'000.0 + 200'000.0 * slowness + noise, slowness});
  }
  const auto law = fit_delay(points);
  REQUIRE(law);
  CHECK(law->kind == DelayKind::kNeither);
  CHECK(law->both_time_us.value == doctest::Approx(30'000.0).epsilon(1e-3));
  CHECK(law->both_distance_um.value == doctest::Approx(200'000.0).epsilon(1e-3));
}

TEST_CASE(
    "shots that are all a pitch and a half late still find their containers where these differ") {
  MatchScale scale;
  double at = 0.0;
  for (int i = 0; i < 200; ++i) {
    at += 90'000.0 + (i * 7919 % 13 == 0 ? 90'000.0 : 0.0);  // here and there an empty place
    scale.containers.push_back(at);
    scale.shots.push_back(at + 135'000.0);
  }
  scale.reach = 33'000.0;
  scale.span = 200'000.0;
  const ShotMatch match = match_shots(scale);
  CHECK(match.shift == doctest::Approx(135'000.0));
  CHECK(match.unmatched == 0);
  for (std::size_t i = 0; i < match.owner.size(); ++i) {
    CHECK(match.owner[i] == static_cast<std::int64_t>(i));
  }
}
