#pragma once

/// What the line's drive is told to do over the whole run, worked out before it starts: the speed
/// profile with every creep, step and hunting in it, the stops, and what is turned by hand in them.

#include <vector>

#include "plant_model/line/schedule.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

struct MotionPlan {
  explicit MotionPlan(const PlantSpec& spec);

  /// The belt stands in a jam: the line does not know and keeps its run permit.
  bool jammed(Instant at) const;

  SpeedProfile profile;
  std::vector<LineStop> stops;
  std::vector<Occurrence> jogs;

 private:
  std::vector<Occurrence> jams_;
};

}  // namespace rimebench
