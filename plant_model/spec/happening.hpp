#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "firmware_sim/units/quantity.hpp"
#include "plant_model/spec/dosing_supply.hpp"
#include "plant_model/spec/trouble.hpp"

namespace rimebench {

/// Line speed at a moment; between knots it is linear, before the first and after the last it
/// holds.
struct SpeedKnot {
  Instant at;
  double containers_per_min{};
};
using SpeedProfile = std::vector<SpeedKnot>;

/// The line is stopped by its operator or its controls: the run permit falls at `at`, a moving belt
/// coasts to rest within `coast`, and after `lasts` the permit returns and the belt ramps up again.
struct LineStop {
  Instant at;
  Duration lasts;
  Duration coast;
  Duration ramp;
};

/// Drops of drink on the sensor: the given share of containers shows short extra levels as it
/// arrives.
struct SensorChatter {
  std::int32_t share_ppm{};
  int edges{};   ///< extra level changes, an even number
  Duration gap;  ///< between them
};

/// What goes wrong or changes while the line runs.
struct Happenings {
  std::vector<LineStop> stops;       ///< in time order, not overlapping
  std::int32_t missing_share_ppm{};  ///< containers that the filler does not release, at random
  std::vector<int> heads_missing;  ///< inline: heads (1 is nearest the seamer) that release nothing
  SensorChatter chatter;
  SupplyHappenings supply;
  std::vector<ValveTrouble> valve;
  std::vector<GateTrouble> gate;
  std::optional<CoreHang> core_hang;
};

}  // namespace rimebench
