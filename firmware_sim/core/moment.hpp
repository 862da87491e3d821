#pragma once

#include "firmware_sim/core/belt.hpp"
#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/core/supply_watch.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

class SeamerCycle;

/// What the parts see when an instant is settled, its inputs taken.
struct Moment {
  Instant now;
  Length position;  ///< of the belt
  const Belt& belt;
  const Recipe& recipe;
  const SeamerCycle& seamer;
  HeadGain head{};
};

}  // namespace rimebench
