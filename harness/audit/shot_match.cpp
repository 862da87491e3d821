#include "harness/audit/shot_match.hpp"

#include <algorithm>
#include <cmath>

#include "harness/audit/robust.hpp"

namespace rimebench {

namespace {

/// Shots that a shift is tried on; as many tell as well as all of a long capture.
constexpr std::size_t kTried = 300;
constexpr int kStepsAReach = 8;
/// A shift further off must fit better by this share of the reach.
constexpr double kClearlyBetter = 0.03;

/// Index of the nearest of the rising values.
std::size_t nearest(const std::vector<double>& values, double to) {
  const auto after = std::lower_bound(values.begin(), values.end(), to);
  if (after == values.begin()) return 0;
  const auto i = static_cast<std::size_t>(after - values.begin());
  if (after == values.end()) return i - 1;
  return to - values[i - 1] <= values[i] - to ? i - 1 : i;
}

/// Mean distance of the shots from their nearest container, none counted above the reach.
double misfit(const MatchScale& scale, double shift) {
  const std::size_t step = std::max<std::size_t>(1, scale.shots.size() / kTried);
  double sum = 0.0, count = 0.0;
  for (std::size_t i = 0; i < scale.shots.size(); i += step) {
    const double at = scale.shots[i] - shift;
    const double off = std::abs(at - scale.containers[nearest(scale.containers, at)]);
    sum += std::min(off, scale.reach);
    count += 1.0;
  }
  return sum / count;
}

double best_shift(const MatchScale& scale) {
  const double step = scale.reach / kStepsAReach;
  const int steps = static_cast<int>(std::min(scale.span / step, 4000.0));
  double best = 0.0, least = misfit(scale, 0.0);
  for (int k = 1; k <= steps; ++k) {
    for (const double shift : {step * k, -step * k}) {
      // Within a step of the best one it is the same fit, only nearer to its middle.
      const bool beside = std::abs(shift - best) <= 1.5 * step;
      const double off = misfit(scale, shift);
      if (off + (beside ? 0.0 : kClearlyBetter * scale.reach) >= least) continue;
      best = shift;
      least = off;
    }
  }
  return best;
}

void assign(const MatchScale& scale, ShotMatch& match) {
  match.owner.assign(scale.shots.size(), -1);
  for (std::size_t i = 0; i < scale.shots.size(); ++i) {
    const double at = scale.shots[i] - match.shift;
    const std::size_t container = nearest(scale.containers, at);
    if (std::abs(at - scale.containers[container]) <= scale.reach) {
      match.owner[i] = static_cast<std::int64_t>(container);
    }
  }
}

std::vector<double> offsets(const MatchScale& scale, const ShotMatch& match) {
  std::vector<double> off;
  for (std::size_t i = 0; i < scale.shots.size(); ++i) {
    if (match.owner[i] < 0) continue;
    off.push_back(scale.shots[i] - scale.containers[static_cast<std::size_t>(match.owner[i])]);
  }
  return off;
}

void count_unmatched(const MatchScale& scale, ShotMatch& match) {
  std::vector<int> shots(scale.containers.size(), 0);
  for (const std::int64_t owner : match.owner) {
    if (owner < 0) ++match.unmatched;
    if (owner >= 0) ++shots[static_cast<std::size_t>(owner)];
  }
  for (std::size_t i = 0; i < shots.size(); ++i) {
    const double at = scale.containers[i] + match.shift;
    if (at < scale.shots.front() || at > scale.shots.back()) continue;
    if (shots[i] != 1) ++match.unmatched;
  }
}

}  // namespace

ShotMatch match_shots(const MatchScale& scale) {
  ShotMatch match;
  if (scale.containers.empty() || scale.shots.empty()) {
    match.owner.assign(scale.shots.size(), -1);
    return match;
  }
  match.shift = best_shift(scale);
  assign(scale, match);
  const std::vector<double> first = offsets(scale, match);
  if (!first.empty()) match.shift = median_of(first);
  assign(scale, match);
  match.spread = robust_sd(offsets(scale, match));
  count_unmatched(scale, match);
  return match;
}

}  // namespace rimebench
