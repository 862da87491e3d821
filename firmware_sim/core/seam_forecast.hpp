#pragma once

#include <array>
#include <cstddef>

#include "firmware_sim/core/container_queue.hpp"
#include "firmware_sim/core/moment.hpp"

namespace rimebench {

/// Measures a queued line's seamer at the discharge sensor: its cycle is the median of the last few
/// intervals in which a container was already waiting, so one odd interval moves nothing and a
/// starved seamer is not taken for a slow one.
class SeamerCycle {
 public:
  /// A rising edge of the discharge sensor, before the container has left the queue.
  void on_discharge(const Moment& moment, const ContainerQueue& queue);
  /// Belt or seamer stood: the next interval is not a cycle.
  void interrupt() { comparable_ = false; }
  /// A new line: forgets what it measured.
  void clear() { *this = {}; }

  /// The measured cycle or, before three intervals, the planned one; within the recipe's bounds.
  Duration cycle(const Recipe& recipe) const;
  /// The last seam; before the first, long ago.
  Instant last_seam() const { return last_seam_; }

 private:
  static constexpr std::size_t kIntervals = 5;

  std::array<Duration, kIntervals> intervals_{};
  std::size_t measured_ = 0;  ///< of intervals_, up to kIntervals
  std::size_t oldest_ = 0;
  Instant last_seam_{-kNever.us};
  bool comparable_ = false;  ///< last_seam_ begins a cycle
};

/// A container's wait from landing to seam, before it is dosed.
struct WaitForecast {
  Duration wait;  ///< for which the dose is to be made
  bool capped;    ///< it may be sealed so soon that the expected wait's dose would be too much
};

/// The wait expected of the container that lands at `landing`, all those decided being ahead of it;
/// never more than wait_error_max_us above the shortest one that belt and seamer allow.
WaitForecast forecast_wait(const Moment& moment, const ContainerQueue& queue, int place,
                           Instant landing);

/// Time for `distance` if the belt gains speed from `from` as fast as it can, rounded down.
/// speed_max must be known.
Duration shortest_travel(Length distance, Speed from, const Recipe& recipe);

}  // namespace rimebench
