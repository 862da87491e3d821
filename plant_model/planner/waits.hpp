#pragma once

/// How long each place of a group waits from landing to seam, from the line's geometry alone.

#include <vector>

#include "plant_model/spec/plan.hpp"

namespace rimebench {

/// From landing to lid, and from lid to seam.
struct Wait {
  double belt_s{};
  double lid_s{};

  double total() const { return belt_s + lid_s; }
};

/// One place of a group, counted from the seamer; a line without groups has one.
struct PlaceWait {
  int place{1};
  Wait expected;     ///< all heads present, the line at its planned speed
  Wait shortest;     ///< nothing in the way: heads missing, an empty queue, the first after a gap
  bool saturated{};  ///< the queue reaches back past the nozzle: no later place waits longer
};

double belt_m_per_s(const PlanSpec& plan);

/// From landing to seam when nothing is in the way.
Wait unhindered_wait(const LineSpec& line, double belt_m_per_s);

/// Expected and shortest waits of every place. A queued line is followed group by group until the
/// seamer repeats itself: it takes container k when it is free and k has come, as the line does.
std::vector<PlaceWait> place_waits(const PlanSpec& plan);

/// A wait split at the lid as this line would split it.
Wait split_wait(const PlanSpec& plan, double total_s);

/// True if places wait differently, so that one dose cannot suit all.
bool needs_ramp(const std::vector<PlaceWait>& places);

/// Containers that fit between nozzle and seamer ahead of the one under the nozzle. A longer queue
/// reaches back past the nozzle, so that no container ever waits for more than these.
int queue_room(const PlanSpec& plan);

}  // namespace rimebench
