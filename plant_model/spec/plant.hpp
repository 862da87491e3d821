#pragma once

#include <algorithm>
#include <cstdint>

#include "firmware_sim/contract/parameter.hpp"
#include "plant_model/spec/container.hpp"
#include "plant_model/spec/happening.hpp"
#include "plant_model/spec/limits.hpp"
#include "plant_model/spec/line.hpp"

namespace rimebench {

/// All that the plant is built from: the line, what runs on it, what happens, and what the operator
/// loads into the controller.
struct PlantSpec {
  std::uint64_t seed{1};
  Duration feed;  ///< the filler releases containers this long; then the line runs empty
  ContainerSpec container;
  ProductSpec product;
  LineSpec line;
  SpeedProfile speed;
  Happenings happens;
  ContainerLimits limits;
  RecipeValues recipe;
};

/// The belt's greatest speed in the whole profile, with what happens to it.
inline double fastest_um_per_s(const PlantSpec& spec) {
  double per_min = 0.0;
  for (const SpeedKnot& knot : spec.speed) per_min = std::max(per_min, knot.containers_per_min);
  return per_min * fastest_factor(spec.happens) * travel_per_container_um(spec.line.filler) / 60.0;
}

}  // namespace rimebench
