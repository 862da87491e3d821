#pragma once

#include "firmware_sim/core/counters.hpp"
#include "firmware_sim/core/fixed_ring.hpp"
#include "firmware_sim/core/moment.hpp"

namespace rimebench {

/// Finds each container's place in its group: the number of containers ahead of it on the seamer
/// side, or (place_source 2) the head that filled it.
class GroupPlace {
 public:
  /// Remembers that a group started here. False if more starts are pending than it can hold.
  [[nodiscard]] bool on_group_start(Length position, const Recipe& recipe);

  /// The place, from 0, of the container with this leading edge; call once a container, in order.
  /// Before any group has started, places count from the first container.
  int place_of(Length leading_edge, const Recipe& recipe, Counters& counters);

  /// Forgets the starts that no container has reached.
  void clear() { pending_.clear(); }

 private:
  FixedRing<Length, 64> pending_;
  bool in_group_ = false;
  Length group_start_;  ///< of the present group
  int containers_ = 0;  ///< of the present group so far
};

}  // namespace rimebench
