#include "harness/session/delay_log.hpp"

#include <algorithm>

namespace rimebench {

void DelayLog::add(Duration delay) {
  delays_us_.push_back(
      static_cast<std::int32_t>(std::clamp<std::int64_t>(delay.raw, 0, INT32_MAX)));
}

DelayFigures DelayLog::figures() const {
  if (delays_us_.empty()) return {};
  std::vector<std::int32_t> sorted = delays_us_;
  std::ranges::sort(sorted);
  // The smallest delay that at least this share of all does not exceed.
  const auto at = [&](std::size_t percent) {
    const std::size_t rank = (sorted.size() * percent + 99) / 100;
    return Duration{sorted[rank - 1]};
  };
  return {sorted.size(), at(50), at(99), Duration{sorted.back()}};
}

}  // namespace rimebench
