#include <algorithm>
#include <cmath>

#include "harness/judge/verdict.hpp"

namespace rimebench {

/// Wilson score interval at 95 % (E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209).
Share share_of(std::int64_t count, std::int64_t of) {
  Share share{count, of};
  if (of == 0) return share;
  constexpr double kZ = 1.959963984540054;
  const double n = static_cast<double>(of);
  const double p = static_cast<double>(count) / n;
  const double scale = 1.0 + kZ * kZ / n;
  const double centre = p + kZ * kZ / (2.0 * n);
  const double spread = kZ * std::sqrt(p * (1.0 - p) / n + kZ * kZ / (4.0 * n * n));
  share.percent = 100.0 * p;
  share.low_percent = std::max(0.0, 100.0 * (centre - spread) / scale);
  share.high_percent = std::min(100.0, 100.0 * (centre + spread) / scale);
  return share;
}

}  // namespace rimebench
