#pragma once

#include "firmware_sim/core/container_queue.hpp"
#include "firmware_sim/core/counters.hpp"
#include "firmware_sim/core/fixed_ring.hpp"
#include "firmware_sim/core/moment.hpp"
#include "firmware_sim/core/reject_eye.hpp"

namespace rimebench {

/// Checks each container's wait as it is seamed and takes it to the reject gate if it is not surely
/// right, with its neighbours where the recipe asks for them. On a locked transport the belt's
/// position tells when a container is seamed; on a queued one the discharge sensor does, oldest
/// container first. Someone may take one out by hand or put one in, and the sensor may miss one:
/// after a discharge with no container past the nozzle all are rejected, until a gap in the
/// discharges proves that nothing waits at the seamer; after one before the next container can have
/// come so far, those since the last gap that are not past the gate.
class RejectTracker {
 public:
  /// A rising edge of the discharge sensor; only a queued line listens.
  void on_discharge(const Moment& moment, ContainerQueue& queue, Counters& counters);
  /// A rising edge of the eye behind the gate.
  void on_confirmed() { eye_.on_confirmed(); }
  /// Takes what has crossed the seam of a locked line, then moves the gate's windows on. `moving`:
  /// belt and seamer run.
  void settle(const Moment& moment, bool moving, ContainerQueue& queue, Counters& counters);
  /// From now on the gate is out for whatever comes, until clear().
  void reject_all() { all_ = true; }
  /// Nobody knows any more where what is between sensor and gate stands (on a queued line: between
  /// discharge and gate): the gate is out until all of it has gone by.
  void lose_places(Length position, const Recipe& recipe);
  /// The controller has just come up, and knows of nothing that is on the line already: besides,
  /// what is discharged is not counted before a gap has shown that nothing waits.
  void begin(Length position, const Recipe& recipe);

  bool reject() const { return gate_out_ || all_ || unknown_; }
  /// True once a container could not be tracked to the gate.
  bool overflowed() const { return overflowed_; }
  /// Rejected containers, one after the other, that the eye did not see leave.
  int unconfirmed() const { return eye_.missed(); }
  /// The next instant, and the next belt position, at which settle() acts; kNever and kNowhere if
  /// there is none.
  Instant due() const { return earlier(gap_ends_, eye_.due()); }
  Length next_position(const Belt& belt, const Recipe& recipe, const ContainerQueue& queue) const;
  /// The line has been cleared.
  void clear();
  /// What the eye missed has been taken out by hand.
  void forget_unconfirmed() { eye_.clear(); }

 private:
  /// Belt positions, both inclusive, between which the gate must be out.
  struct Window {
    Length from;
    Length to;
  };
  bool sure(const Container& container, Instant since, Instant by, const Recipe& recipe,
            Counters& counters);
  void decide(bool sure, const Moment& moment, Length gate_at, Counters& counters);
  void send_to_gate(const Recipe& recipe, Length gate_at, Counters& counters);
  void reject_back_to_gap(const Moment& moment, Counters& counters);
  void send_neighbour(const Moment& moment, Length gate_at, Counters& counters);
  void watch_gap(const Moment& moment, bool moving, ContainerQueue& queue, Counters& counters);
  void move_gate(const Moment& moment, Counters& counters);

  FixedRing<Window, 128> windows_;  ///< of rejected containers only, in order
  FixedRing<Length, 8> passed_;     ///< where the last good ones since a gap are at the gate
  RejectEye eye_;
  int behind_ = 0;         ///< neighbours still to be rejected behind the last rejected one
  bool gate_out_ = false;  ///< the front window has begun
  bool all_ = false;
  bool unknown_ = false;  ///< what is at the gate; ends there:
  Length unknown_to_{-kNever.us};
  bool overflowed_ = false;
  bool unsure_ = false;  ///< of the count between nozzle and discharge
  Instant discharged_{-kNever.us};
  Instant moving_since_ = kNever;
  Instant gap_ends_ = kNever;       ///< when watch_gap() acts next
  Length gap_position_ = kNowhere;  ///< where it does
  bool last_sure_ = true;           ///< used by a planted defect alone
};

}  // namespace rimebench
