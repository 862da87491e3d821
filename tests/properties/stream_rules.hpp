#pragma once

#include <deque>
#include <optional>

#include "tests/properties/belt_bounds.hpp"

namespace rimebench::properties {

/// What a valve held open from container to container owes: it is begun only by a recipe that has a
/// stream with a longest time, and never stays open over an empty place longer than its gap.
class StreamRules {
 public:
  /// The valve opens for a stream. Returns the farthest its container's centre may be, um.
  std::int64_t begin(Instant now, const RecipeValues& recipe, const BeltBounds& belt,
                     const std::deque<SeenEdge>& on_belt);
  void end() { open_ = false; }
  bool open() const { return open_; }
  /// At every instant, its inputs taken, its outputs not. `on_belt`: all that may be near the
  /// nozzle.
  void settle(Instant now, const RecipeValues& recipe, const BeltBounds& belt,
              const std::deque<SeenEdge>& on_belt);

 private:
  /// What has been due is waited for until it has passed, however the belt slows.
  void take(Instant now, const RecipeValues& recipe, const BeltBounds& belt,
            const std::deque<SeenEdge>& on_belt);

  bool open_ = false;
  std::int64_t taken_um_ = 0;           ///< the farthest edge that has been due
  std::optional<Instant> empty_since_;  ///< surely no opening is under the nozzle or due there
};

}  // namespace rimebench::properties
