#pragma once

#include <cstdint>

#include "plant_model/spec/plant.hpp"

namespace rimebench {

/// The fewest and the most containers that a stop may cost, whatever moment it falls in.
struct StopCost {
  std::int64_t least{};
  std::int64_t most{};
  Duration unsteady{};  ///< so long after it containers are lost because the head stood idle
};

/// From the line's geometry, its speed at the stop and what the recipe allows: containers are lost
/// that are under the nozzle while the line has no permit or is too slow, or whose wait from nozzle
/// to seam is off by more than the recipe's wait_error_max_us. `stop.at` is a moment, not kNever.
/// Beside these at most: the neighbours of the first and the last of them, those whose place was in
/// doubt as the belt stopped, and those after it that the recipe calls unsteady. A stop that falls
/// into another one's restart costs less than both; a jog by hand, or a body that its own sensor
/// calls warm, costs more.
StopCost stop_cost(const PlantSpec& spec, const LineStop& stop);

}  // namespace rimebench
