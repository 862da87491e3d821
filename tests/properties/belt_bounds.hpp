#pragma once

#include <cstdint>

#include "tests/properties/drive.hpp"

namespace rimebench::properties {

/// A level of the container sensor that held long enough to be a container's leading edge: where
/// the belt was, as little and as much as it can be.
struct SeenEdge {
  std::int64_t least_um;
  std::int64_t most_um;
};

/// Where the belt may be and how fast it goes, from pulses or from permit and line speed alone.
class BeltBounds {
 public:
  void configure(Instant now, const RecipeValues& recipe, bool permit);
  void on_pulse(Instant now);
  void on_permit(Instant now, bool permit);
  std::int64_t least_um(Instant now) const;
  std::int64_t most_um(Instant now) const { return least_um(now) + slack_um_; }
  /// The fastest the belt can be held to go, from the last two pulses; 0 before.
  std::int64_t speed_um_per_s(Instant now) const;

 private:
  bool may_drop_ = false;     ///< a pulse may be taken for an extra one
  bool may_fill_in_ = false;  ///< or for one before which others were lost
  std::int64_t pitch_um_ = 0;
  std::int64_t line_um_per_s_ = 0;
  std::int64_t slack_um_ = 2;
  std::int64_t origin_um_ = 0;
  Instant since_;
  bool permit_ = false;
  int pulses_ = 0;
  std::int64_t period_us_ = 0;
};

}  // namespace rimebench::properties
