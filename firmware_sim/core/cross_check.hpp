#pragma once

#include "firmware_sim/contract/fault.hpp"
#include "firmware_sim/core/admission.hpp"
#include "firmware_sim/core/container_queue.hpp"
#include "firmware_sim/core/counters.hpp"
#include "firmware_sim/core/moment.hpp"

namespace rimebench {

/// What the cross-check needs to know beyond the moment.
struct LineState {
  bool running;         ///< the run permit is given
  bool filler_running;  ///< containers are to come
  bool dosing;          ///< the mode is Execute
};

/// Holds line pulses and container sensor against each other. Neither alone shows that pulses are
/// lost or too many, that the wheel slips or the belt went back (a pulse has no direction), or that
/// the sensor sees nothing any more: containers that come off their pitch, look too wide or too
/// narrow, or come back to the sensor after a standstill do. The containers whose place on the belt
/// that puts in doubt are flagged; row after row, it is a fault. A belt that is moved by hand may
/// have gone back, so all that stood behind the sensor is in doubt, and what comes by it until the
/// belt has surely made up for that has been there before.
class CrossCheck {
 public:
  void on_pulse(PulseVerdict verdict, const Moment& moment, ContainerQueue& queue,
                Counters& counters);
  /// A believed edge of the container sensor; of a container's leading edge, on_container too.
  void on_sighting(Sighting sighting, const Moment& moment, const LineState& line,
                   ContainerQueue& queue, Counters& counters);
  /// Before the container with this leading edge is admitted. False if it may be one that was here
  /// before.
  bool on_container(const Moment& moment, const LineState& line, Length edge, ContainerQueue& queue,
                    Counters& counters);
  /// Watches what lasts too long.
  void watch(const Moment& moment, const LineState& line, bool sensor_high);

  /// kNone if all is well.
  Fault fault() const { return fault_; }
  /// The next instant, and the next belt position, at which watch() may find a fault.
  Instant due() const { return pulse_due_; }
  Length next_position() const { return stuck_at_; }
  /// The line has been cleared.
  void clear() { *this = CrossCheck{}; }

 private:
  bool off_pitch(Length step, const Recipe& recipe) const;
  void moved_by_hand(const Moment& moment, ContainerQueue& queue, Counters& counters);
  void watch_pulse(const Moment& moment, const LineState& line);
  void watch_sensor(const Moment& moment, const LineState& line, bool sensor_high);
  void latch(Fault fault) {
    if (fault_ == Fault::kNone) fault_ = fault;
  }

  Fault fault_ = Fault::kNone;
  int row_ = 0;                  ///< containers in a row with something implausible before them
  bool doubtful_ = false;        ///< there was, since the last container
  bool stood_ = false;           ///< the line was without its permit since the last container
  bool moving_by_hand_ = false;  ///< since the line lost its permit the belt was moved
  Length seen_to_{-kNever.us};   ///< what comes by the sensor up to here may have been there before
  bool edge_seen_ = false;       ///< of a container:
  Length edge_;                  ///< leading edge of the last one
  Instant edge_at_;              ///< when it was believed
  int edges_without_pulse_ = 0;
  Instant pulse_at_edge_{-1};  ///< the last pulse before the last leading edge of whatever kind
  Instant expected_since_ = kNever;  ///< pulses are
  Instant pulse_due_ = kNever;
  bool level_counts_ = false;  ///< the sensor's present level may be one it is stuck at
  bool level_high_ = false;
  Length level_since_;  ///< belt position at which it began
  Length stuck_at_ = kNowhere;
};

}  // namespace rimebench
