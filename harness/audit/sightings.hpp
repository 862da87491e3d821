#pragma once

/// The containers that a capture shows at its sensor, each with its place in the group, by the
/// recipe's own rules of debounce and place.

#include <cstdint>
#include <vector>

#include "harness/audit/belt_track.hpp"
#include "harness/audit/captured_line.hpp"

namespace rimebench {

struct SeenContainer {
  double edge_us{};  ///< its leading edge on the wire
  double edge_um{};  ///< belt position then, latency not taken off
  double speed_um_per_us{};
  double width_um{};  ///< belt travel to the trailing edge
  int place{1};       ///< in its group, from 1
  bool steady{true};  ///< the belt ran evenly then
};

struct SeenContainers {
  std::vector<SeenContainer> containers;  ///< in order of their edges
  std::int64_t chatter{};                 ///< levels shorter than the recipe's debounce
  std::int64_t double_edges{};            ///< leading edges closer than pitch_min_um
  std::int64_t off_belt{};                ///< seen while nothing tells where the belt was
  bool places_known{true};     ///< false: the group signal that tells them is not captured
  bool begins_in_container{};  ///< one stood before the sensor as the capture began
};

SeenContainers see_containers(const CapturedLine& line, const BeltTrack& belt,
                              const RecipeValues& recipe);

}  // namespace rimebench
