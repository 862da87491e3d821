#include "harness/audit/delay_law.hpp"

#include <algorithm>
#include <cmath>

namespace rimebench {

namespace {

constexpr std::size_t kPointsMin = 5;
/// Times are whole microseconds: the variance that alone leaves.
constexpr double kRoundingVariance = 1.0 / 6.0;
/// A line whose speed varies by less tells time and distance apart only by their size.
constexpr double kRangeMin = 0.02;
/// The worse one of two is out of the question: a thousand to one.
constexpr double kSurerMin = 3.0;
/// A law that leaves more than this, and more than a mixture does, is none.
constexpr double kSpreadMaxUs = 2000.0;

struct Sums {
  double n{}, mean_delay{}, through_origin{}, ss_time{}, ss_distance{}, slow_squares{};
};

Sums sums_of(const std::vector<DelayPoint>& points) {
  Sums s;
  double product = 0.0;
  s.n = static_cast<double>(points.size());
  for (const DelayPoint& p : points) {
    s.mean_delay += p.delay_us / s.n;
    product += p.delay_us * p.slowness_us_per_um;
    s.slow_squares += p.slowness_us_per_um * p.slowness_us_per_um;
  }
  s.through_origin = product / s.slow_squares;
  s.ss_time = s.ss_distance = kRoundingVariance * s.n;
  for (const DelayPoint& p : points) {
    s.ss_time += (p.delay_us - s.mean_delay) * (p.delay_us - s.mean_delay);
    const double off = p.delay_us - s.through_origin * p.slowness_us_per_um;
    s.ss_distance += off * off;
  }
  return s;
}

Estimate estimate(double value, double sd, double freedom) {
  const double half = student_t(kAuditConfidence, static_cast<int>(freedom)) * sd;
  return {value, sd, value - half, value + half};
}

/// Median delay and median travel: outliers cannot move these.
std::vector<DelayPoint> without_outliers(const std::vector<DelayPoint>& points) {
  std::vector<double> times, distances;
  for (const DelayPoint& p : points) {
    times.push_back(p.delay_us);
    distances.push_back(p.delay_us / p.slowness_us_per_um);
  }
  const bool by_distance =
      robust_sd(distances) * median_of(times) < robust_sd(times) * median_of(distances);
  const std::vector<double>& values = by_distance ? distances : times;
  const std::vector<bool> out = outlying(values, 1e-3 * std::abs(median_of(values)));
  std::vector<DelayPoint> kept;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!out[i]) kept.push_back(points[i]);
  }
  return kept;
}

void fit_both(const std::vector<DelayPoint>& points, const Sums& s, DelayLaw& law) {
  std::vector<double> slowness, delay;
  for (const DelayPoint& p : points) {
    slowness.push_back(p.slowness_us_per_um);
    delay.push_back(p.delay_us);
  }
  const auto both = fit_line(slowness, delay, std::vector<double>(points.size(), 1.0));
  if (!both) return;
  law.both_time_us = both->estimate(0, kAuditConfidence);
  law.both_distance_um = both->estimate(1, kAuditConfidence);
  const double left = both->residual_ss + kRoundingVariance * s.n;
  const double unit = left / both->degrees_of_freedom;
  law.time_chance = f_tail(std::max(0.0, s.ss_time - left) / unit, 1, both->degrees_of_freedom);
  law.distance_chance =
      f_tail(std::max(0.0, s.ss_distance - left) / unit, 1, both->degrees_of_freedom);
}

DelayKind kind_of(const DelayLaw& law) {
  if (law.speed_range < kRangeMin || law.surer < kSurerMin) return DelayKind::kCannotTell;
  const bool distance = law.distance_spread_us < law.time_spread_us;
  const double spread = distance ? law.distance_spread_us : law.time_spread_us;
  const double chance = distance ? law.distance_chance : law.time_chance;
  if (spread > kSpreadMaxUs && chance < 1e-6) return DelayKind::kNeither;
  return distance ? DelayKind::kDistance : DelayKind::kTime;
}

}  // namespace

std::optional<DelayLaw> fit_delay(const std::vector<DelayPoint>& all) {
  if (all.size() < kPointsMin) return std::nullopt;
  const std::vector<DelayPoint> points = without_outliers(all);
  if (points.size() < kPointsMin) return std::nullopt;
  DelayLaw law;
  law.points = static_cast<std::int64_t>(all.size());
  law.outliers = law.points - static_cast<std::int64_t>(points.size());
  const auto slower = [](const DelayPoint& a, const DelayPoint& b) {
    return a.slowness_us_per_um < b.slowness_us_per_um;
  };
  const auto [fast, slow] = std::minmax_element(points.begin(), points.end(), slower);
  law.speed_range = slow->slowness_us_per_um / fast->slowness_us_per_um - 1.0;
  const Sums s = sums_of(points);
  const double freedom = s.n - 1.0;
  law.time_spread_us = std::sqrt(s.ss_time / freedom);
  law.distance_spread_us = std::sqrt(s.ss_distance / freedom);
  law.time_us = estimate(s.mean_delay, law.time_spread_us / std::sqrt(s.n), freedom);
  law.distance_um =
      estimate(s.through_origin, law.distance_spread_us / std::sqrt(s.slow_squares), freedom);
  law.surer = 0.5 * s.n * std::abs(std::log10(s.ss_time / s.ss_distance));
  fit_both(points, s, law);
  law.kind = kind_of(law);
  return law;
}

}  // namespace rimebench
