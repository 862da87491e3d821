#pragma once

#include "firmware_sim/core/container_queue.hpp"
#include "firmware_sim/core/counters.hpp"
#include "firmware_sim/core/fixed_ring.hpp"
#include "firmware_sim/core/moment.hpp"

namespace rimebench {

/// Checks each container's wait as it is seamed and takes it to the reject gate if it is not surely
/// right. On a locked transport the belt's position tells when a container is seamed; on a queued
/// one the discharge sensor does, oldest container first.
class RejectTracker {
 public:
  /// A rising edge of the discharge sensor; only a queued line listens.
  void on_discharge(const Moment& moment, ContainerQueue& queue, Counters& counters);
  /// Takes what has crossed the seam of a locked line, then moves the gate's windows on.
  void settle(const Moment& moment, ContainerQueue& queue, Counters& counters);

  bool reject() const { return gate_out_; }
  /// True once a container could not be tracked to the gate.
  bool overflowed() const { return overflowed_; }
  /// The next belt position at which settle() acts; kNowhere if there is none.
  Length next_position(const Recipe& recipe, const ContainerQueue& queue) const;
  /// The line has been cleared.
  void clear();

 private:
  /// Belt positions, both inclusive, between which the gate must be out.
  struct Window {
    Length from;
    Length to;
  };
  bool sure(const Container& container, Instant seamed_at, const Recipe& recipe,
            Counters& counters);
  void send_to_gate(const Recipe& recipe, Length gate_at, Counters& counters);
  void move_gate(Length position);

  FixedRing<Window, 128> windows_;  ///< of rejected containers only, in order
  bool gate_out_ = false;           ///< the front window has begun
  bool overflowed_ = false;
  bool last_sure_ = true;  ///< used by a planted defect alone
};

}  // namespace rimebench
