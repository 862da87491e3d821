#pragma once

#include <optional>

#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/core/valve_request.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Times the valve by its feedback: one that follows its command later than slow_after, though
/// within the guard's allowance, is slow, and the shot is not what was calibrated. Where no
/// feedback is wired or slow_after is 0 nothing is slow.
class ValveSpeed {
 public:
  /// The feedback at the beginning of an instant: it answers a command of before. True if that shot
  /// is now found to be slow, once a shot.
  bool watch(Instant now, bool feedback, const SlowLimits& limits);
  /// The valve as commanded at the end of an instant.
  void command(Instant now, const ValveRequest& command);

  /// Of the shot that watch() found slow; none if it dosed no container.
  std::optional<ContainerNumber> container() const { return container_; }
  /// So many slow shots in a row that the valve is not fit.
  bool unfit(const SlowLimits& limits) const {
    return limits.count_max > 0 && in_row_ >= limits.count_max;
  }
  void reset() { *this = {}; }

 private:
  bool follows_late(Instant now, bool feedback, const SlowLimits& limits);

  bool commanded_ = false;
  bool feedback_ = false;
  bool opening_ = false;                      ///< the feedback is still to rise
  bool shutting_ = false;                     ///< the feedback is still to fall
  bool slow_ = false;                         ///< the present shot
  Instant commanded_at_;                      ///< the valve was commanded open
  Instant released_at_;                       ///< and shut again
  std::optional<ContainerNumber> container_;  ///< of the present shot
  int in_row_ = 0;
};

}  // namespace rimebench
