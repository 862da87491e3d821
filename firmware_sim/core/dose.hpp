#pragma once

#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/core/supply_watch.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// What one container is to get.
struct Dose {
  Duration expected_wait;  ///< from landing to seam
  Mass mass;               ///< at the nozzle
  Duration open;           ///< time the valve is commanded open
  bool in_range;           ///< false: `open` is the nearest possible and must not be fired
};

/// The dose's open time for the head that drives it now.
Dose at_head(Dose dose, const HeadGain& head, const Recipe& recipe);

/// Dose for a container that will wait so long: the wait gives the gain, the gain the mass, the
/// mass the open time.
Dose dose_for(const Recipe& recipe, Duration expected_wait);

}  // namespace rimebench
