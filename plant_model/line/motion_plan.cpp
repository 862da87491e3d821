#include "plant_model/line/motion_plan.hpp"

#include <algorithm>
#include <array>

namespace rimebench {

namespace {

/// A change of speed at once still takes this long.
constexpr Duration kLeastRamp = 1_ms;

/// One period of a sine, its least and most included.
constexpr std::array<double, 16> kSine{
    0.0,  0.38268343236508977,  0.70710678118654752,  0.92387953251128676,
    1.0,  0.92387953251128676,  0.70710678118654752,  0.38268343236508977,
    0.0,  -0.38268343236508977, -0.70710678118654752, -0.92387953251128676,
    -1.0, -0.92387953251128676, -0.70710678118654752, -0.38268343236508977};

/// What the line's speed is multiplied by; 1 outside its knots.
struct Factor {
  Instant at;
  double value{};
};
using Factors = std::vector<Factor>;

double between(double a, double b, Duration done, Duration whole) {
  return a + (b - a) * static_cast<double>(done.raw) / static_cast<double>(whole.raw);
}

double value_at(const Factors& factors, Instant at) {
  const auto after = std::upper_bound(factors.begin(), factors.end(), at,
                                      [](Instant t, const Factor& f) { return t < f.at; });
  if (after == factors.begin() || after == factors.end()) return 1.0;
  const Factor& before = *(after - 1);
  return between(before.value, after->value, at - before.at, after->at - before.at);
}

/// Down, or up, to the amount within the ramp, and back within a ramp behind the end.
Factors of_change(const std::vector<Occurrence>& changes) {
  Factors factors;
  for (const Occurrence& change : changes) {
    const Duration ramp = std::max(change.ramp, kLeastRamp);
    const double value = change.amount / 100.0;
    factors.push_back({change.from, 1.0});
    factors.push_back({change.from + ramp, value});
    factors.push_back({change.to, value});
    factors.push_back({change.to + ramp, 1.0});
  }
  return factors;
}

Factors of_hunting(const std::vector<Occurrence>& huntings) {
  Factors factors;
  constexpr auto kSteps = static_cast<std::int64_t>(kSine.size());
  for (const Occurrence& hunting : huntings) {
    for (std::int64_t step = 0;; ++step) {
      const Instant at = hunting.from + Duration{step * hunting.period.raw / kSteps};
      if (at >= hunting.to) break;
      const double sine = kSine[static_cast<std::size_t>(step % kSteps)];
      factors.push_back({at, 1.0 + hunting.amount / 100.0 * sine});
    }
    factors.push_back({hunting.to, 1.0});
  }
  return factors;
}

SpeedProfile changed(const SpeedProfile& profile, const std::vector<Factors>& all) {
  std::vector<Instant> moments;
  for (const SpeedKnot& knot : profile) moments.push_back(knot.at);
  for (const Factors& factors : all) {
    for (const Factor& factor : factors) moments.push_back(factor.at);
  }
  std::sort(moments.begin(), moments.end());
  moments.erase(std::unique(moments.begin(), moments.end()), moments.end());
  SpeedProfile result;
  for (const Instant at : moments) {
    double speed = containers_per_min_at(profile, at);
    for (const Factors& factors : all) speed *= value_at(factors, at);
    result.push_back({at, speed});
  }
  return result;
}

}  // namespace

MotionPlan::MotionPlan(const PlantSpec& spec)
    : profile(spec.speed), stops(all_stops(spec)), jogs(occurrences(spec, SpellKind::kJog)) {
  const std::vector<Occurrence> creeps = occurrences(spec, SpellKind::kCreep);
  const std::vector<Factors> factors{of_change(creeps),
                                     of_change(occurrences(spec, SpellKind::kSpeedStep)),
                                     of_hunting(occurrences(spec, SpellKind::kHunting))};
  const auto none = [](const Factors& one) { return one.empty(); };
  if (!std::all_of(factors.begin(), factors.end(), none)) profile = changed(profile, factors);
  for (const Occurrence& creep : creeps) {
    if (creep.amount == 0.0) jams_.push_back(creep);
  }
}

bool MotionPlan::jammed(Instant at) const {
  const auto holds = [&](const Occurrence& jam) { return jam.from <= at && at <= jam.to; };
  return std::any_of(jams_.begin(), jams_.end(), holds);
}

}  // namespace rimebench
