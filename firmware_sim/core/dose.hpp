#pragma once

#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/core/supply_watch.hpp"

namespace rimebench {

/// What one container is to get.
struct Dose {
  Duration expected_wait;  ///< from landing to seam
  Duration open;           ///< time the valve is commanded open
  bool in_range;           ///< false: `open` is the nearest possible and must not be fired
};

/// The dose's open time for the head that drives it now.
Dose at_head(Dose dose, const HeadGain& head, const Recipe& recipe);

/// Dose for a container at this place of its group while the belt runs at `speed`: the expected
/// wait gives the gain, the gain the mass, the mass the open time.
Dose dose_for(const Recipe& recipe, int place, Speed speed);

}  // namespace rimebench
