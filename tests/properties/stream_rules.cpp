#include "tests/properties/stream_rules.hpp"

#include <algorithm>

namespace rimebench::properties {
namespace {

/// From the centre to where the first liquid for it may leave the nozzle.
std::int64_t front_um(Instant now, const RecipeValues& recipe, const BeltBounds& belt) {
  const std::int64_t lead_us =
      recipe.get(Parameter::kFlightUs) + recipe.get(Parameter::kValveOpenDelayUs);
  return recipe.get(Parameter::kOpeningUm) / 2 + lead_us * belt.speed_um_per_s(now) / 1'000'000 + 2;
}

/// From the sensor's view of an edge to its centre under the nozzle.
std::int64_t ahead_um(const RecipeValues& recipe) {
  return recipe.get(Parameter::kSensorToNozzleUm) + recipe.get(Parameter::kEdgeToCentreUm);
}

}  // namespace

std::int64_t StreamRules::begin(Instant now, const RecipeValues& recipe, const BeltBounds& belt,
                                const std::deque<SeenEdge>& on_belt) {
  must(recipe.get(Parameter::kStreamUsMax) > 0, now.us, "a stream without a longest time");
  must(recipe.get(Parameter::kStreamEnterUmPerS) > 0, now.us, "a stream that the recipe has not");
  const std::int64_t least = std::min(recipe.get(Parameter::kStreamEnterUmPerS),
                                      recipe.get(Parameter::kStreamLeaveUmPerS));
  must(belt.speed_um_per_s(now) >= least, now.us, "a stream on a slow belt");
  open_ = true;
  empty_since_.reset();
  taken_um_ = INT64_MIN;
  take(now, recipe, belt, on_belt);
  return front_um(now, recipe, belt);
}

void StreamRules::take(Instant now, const RecipeValues& recipe, const BeltBounds& belt,
                       const std::deque<SeenEdge>& on_belt) {
  const std::int64_t due_um = belt.most_um(now) - ahead_um(recipe) + front_um(now, recipe, belt);
  for (const SeenEdge& edge : on_belt) {
    if (edge.least_um <= due_um) taken_um_ = std::max(taken_um_, edge.least_um);
  }
}

void StreamRules::settle(Instant now, const RecipeValues& recipe, const BeltBounds& belt,
                         const std::deque<SeenEdge>& on_belt) {
  if (!open_) return;
  take(now, recipe, belt, on_belt);
  const std::int64_t half_um = recipe.get(Parameter::kOpeningUm) / 2 + 1;
  const std::int64_t gone_um = belt.least_um(now) - ahead_um(recipe) - half_um;
  const bool empty = std::none_of(on_belt.begin(), on_belt.end(), [&](const SeenEdge& edge) {
    return edge.least_um <= taken_um_ && edge.most_um >= gone_um;
  });
  if (empty_since_) {
    must(now - *empty_since_ <= Duration{recipe.get(Parameter::kStreamGapUs)}, now.us,
         "held open over an empty place longer than its gap");
  }
  if (!empty) {
    empty_since_.reset();
  } else if (!empty_since_) {
    empty_since_ = now;
  }
}

}  // namespace rimebench::properties
