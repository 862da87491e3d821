#pragma once

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

}  // namespace rimebench
