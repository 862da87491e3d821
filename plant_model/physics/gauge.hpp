#pragma once

#include <optional>

#include "plant_model/physics/package.hpp"

/// What a pressure gauge does to the pack that it pierces: its dead volume, filled with the room's
/// air, joins the headspace, and the reading is lower than the pressure was. Isothermal; within the
/// seconds of a reading the drink neither takes up gas nor gives any back.
namespace rimebench::physics {

/// Reading in Pa gauge of a pack that stood at `gauge_Pa`, pierced by a gauge with `dead_m3` of
/// dead volume. `at` is at the temperature of the pack. Nothing if the pack has no headspace there.
std::optional<double> gauge_reading_Pa(double drink_kg, const AtTemperature& at, double dead_m3,
                                       double gauge_Pa);

/// The inverse: the pressure before the gauge came, from its reading. Nothing if the pack has no
/// headspace.
std::optional<double> gauge_before_piercing_Pa(double drink_kg, const AtTemperature& at,
                                               double dead_m3, double reading_Pa);

}  // namespace rimebench::physics
