#pragma once

#include "firmware_sim/core/counters.hpp"
#include "firmware_sim/core/fixed_ring.hpp"
#include "firmware_sim/core/moment.hpp"

namespace rimebench {

/// A container's place in its group.
struct Place {
  int number = 0;       ///< from 0
  bool sure = true;     ///< false: no group has this place, so it must not be dosed
  int short_group = 0;  ///< so many containers before it were a group of too few
};

/// Finds each container's place in its group: the number of containers ahead of it on the seamer
/// side, or (place_source 2) the head that filled it. A group begins where its signal put it or,
/// on a line without, behind a gap in the stream.
class GroupPlace {
 public:
  /// Remembers that a group started here. False if more starts are pending than it can hold.
  [[nodiscard]] bool on_group_start(Length position, const Recipe& recipe);

  /// The place of the container with this leading edge; call once a container, in order. Before any
  /// group has started, places count from the first container.
  Place place_of(Length leading_edge, const Recipe& recipe, Counters& counters);

  /// Forgets the starts that no container has reached.
  void clear() { pending_.clear(); }

 private:
  void begin(Length group_start, const Recipe& recipe, Counters& counters);
  bool announced(std::int64_t head, const Recipe& recipe) const;

  FixedRing<Length, 64> pending_;
  bool in_group_ = false;
  Length group_start_;   ///< of the present group
  int containers_ = 0;   ///< of the present group so far
  int short_group_ = 0;  ///< size of the last group, if too small and not yet told
  bool edge_seen_ = false;
  Length last_edge_;
};

}  // namespace rimebench
