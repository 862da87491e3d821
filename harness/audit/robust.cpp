#include "harness/audit/robust.hpp"

#include <algorithm>
#include <boost/math/statistics/univariate_statistics.hpp>
#include <cmath>

namespace rimebench {

namespace {

/// Of a normal distribution: its standard deviation over its median absolute deviation.
constexpr double kSdOverMad = 1.4826022185056018;

}  // namespace

double median_of(std::vector<double> values) {
  if (values.empty()) return 0.0;
  return boost::math::statistics::median(values.begin(), values.end());
}

double robust_sd(std::vector<double> values) {
  if (values.size() < 2) return 0.0;
  // About 0: Boost 1.81 gives the value of the middle one, not its deviation, about anything else.
  const double middle = median_of(values);
  for (double& value : values) value -= middle;
  return kSdOverMad *
         boost::math::statistics::median_absolute_deviation(values.begin(), values.end(), 0.0);
}

std::vector<bool> outlying(const std::vector<double>& values, double resolution) {
  std::vector<bool> out(values.size(), false);
  if (values.size() < 3) return out;
  const double middle = median_of(values);
  const double limit = kOutlierScore * std::max(robust_sd(values), resolution);
  for (std::size_t i = 0; i < values.size(); ++i) out[i] = std::abs(values[i] - middle) > limit;
  return out;
}

Measured measure(const std::vector<double>& values, double resolution) {
  Measured result;
  result.count = static_cast<std::int64_t>(values.size());
  if (values.empty()) return result;
  result.median = median_of(values);
  const std::vector<bool> out = outlying(values, resolution);
  std::vector<double> kept;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (!out[i]) kept.push_back(values[i]);
  }
  result.outliers = result.count - static_cast<std::int64_t>(kept.size());
  const auto n = static_cast<double>(kept.size());
  const double mean = boost::math::statistics::mean(kept.begin(), kept.end());
  result.mean = {mean, 0.0, mean, mean};
  if (kept.size() < 2) return result;
  result.sd = std::sqrt(boost::math::statistics::sample_variance(kept.begin(), kept.end()));
  result.mean.sd = result.sd / std::sqrt(n);
  const double half =
      student_t(kAuditConfidence, static_cast<int>(kept.size()) - 1) * result.mean.sd;
  result.mean.low -= half;
  result.mean.high += half;
  return result;
}

}  // namespace rimebench
