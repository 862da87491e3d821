#include "firmware_sim/core/reject_tracker.hpp"

#include "firmware_sim/core/defects.hpp"

namespace rimebench {
namespace {

/// Where a container that was sealed between two instants has waited as its dose wants, whenever it
/// was.
bool wait_in_range(const Container& container, Instant since, Instant by, Duration error_max) {
  const Instant expected = container.landing + container.expected_wait;
  return expected - since <= error_max && by - expected <= error_max;
}

/// On a locked line: what has come so far is sealed, although it was believed to be anywhere within
/// landing_error_max. A belt that is seen by its pulses may have stopped right before the seamer.
Length sealed_at(const Container& container, const Belt& belt, const Recipe& recipe) {
  const Length seam = container.centre + recipe.sensor_to_seam;
  return belt.pulsed() ? seam + recipe.landing_error_max : seam;
}

/// No container goes faster than the belt, so by its travel one may not have come to the seamer
/// yet; half a container and what the belt may have made since its last pulse are let go.
bool may_have_come(const Container& container, const Moment& moment) {
  const Recipe& recipe = moment.recipe;
  const Length margin = recipe.edge_to_centre + recipe.pulse_pitch;
  return container.centre + recipe.sensor_to_seam <= moment.position + margin;
}

}  // namespace

void RejectTracker::on_discharge(const Moment& moment, ContainerQueue& queue, Counters& counters) {
  if (moment.recipe.transport != Transport::kQueued) return;
  // What came before a gap was counted right.
  if (moment.recipe.discharge_gap > 0_us && moving_since_ != kNever &&
      moment.now >= later(discharged_, moving_since_) + moment.recipe.discharge_gap) {
    passed_.clear();
  }
  discharged_ = moment.now;
  // The sensor sees the leading edge; the window is about the centre, which follows.
  const Length gate_at = moment.position + moment.recipe.edge_to_centre + moment.recipe.to_gate;
  const Container* container = queue.next_to_seam();
  if (container == nullptr || !may_have_come(*container, moment)) {
    counters.add(Counter::kDischargeUnexpected);
    // One that nobody counted: it or one before it, and each of those since was taken for the next.
    reject_back_to_gap(moment, counters);
    // The next that was counted is still on its way, so from it on the count is right again.
    unsure_ = container == nullptr && moment.recipe.discharge_gap > 0_us;
    decide(false, moment, gate_at, counters);
    return;
  }
  const Instant seamed_at = moment.now - moment.recipe.seam_to_discharge;
  const bool good = sure(*container, seamed_at, seamed_at, moment.recipe, counters);
  if (good && unsure_) counters.add(Counter::kCountUnsure);
  decide(good && !unsure_, moment, gate_at, counters);
  queue.leave();
}

void RejectTracker::settle(const Moment& moment, bool moving, ContainerQueue& queue,
                           Counters& counters) {
  if (moment.recipe.transport == Transport::kLocked) {
    const Length come = moment.belt.sure_position(moment.now);
    const Instant since = moment.belt.sure_before(moment.now);
    for (const Container* container = queue.next_to_seam();
         container != nullptr && sealed_at(*container, moment.belt, moment.recipe) <= come;
         container = queue.next_to_seam()) {
      const bool good = sure(*container, since, moment.now, moment.recipe, counters);
      decide(good, moment, container->centre + moment.recipe.to_gate, counters);
      queue.leave();
    }
  } else {
    watch_gap(moment, moving, queue, counters);
  }
  move_gate(moment, counters);
  eye_.settle(moment.now, counters);
}

/// A container that came to the seamer before a gap longer than a cycle would have been discharged
/// by now, so it is not there. One has surely come that landed before the gap and had twice the
/// way.
void RejectTracker::watch_gap(const Moment& moment, bool moving, ContainerQueue& queue,
                              Counters& counters) {
  const Recipe& recipe = moment.recipe;
  gap_ends_ = kNever;
  gap_position_ = kNowhere;
  if (!moving) moving_since_ = kNever;
  if (!moving || recipe.discharge_gap == 0_us) return;
  if (moving_since_ == kNever) moving_since_ = moment.now;
  const Instant gap_ends = later(discharged_, moving_since_) + recipe.discharge_gap;
  while (const Container* container = queue.next_to_seam()) {
    const Instant gone_at = later(gap_ends, container->landing + recipe.discharge_gap);
    const Length gone_by = container->centre + recipe.sensor_to_seam + recipe.nozzle_to_seam;
    if (moment.now < gone_at) gap_ends_ = gone_at;
    if (moment.position < gone_by) gap_position_ = gone_by;
    if (moment.now < gone_at || moment.position < gone_by) break;
    counters.add(Counter::kDischargeMissing);
    // It left somewhere among those discharged since the last gap, and each behind it was taken for
    // the one before.
    reject_back_to_gap(moment, counters);
    queue.leave();
  }
  if (moment.now >= gap_ends) unsure_ = false;
  if (unsure_) gap_ends_ = earlier(gap_ends_, gap_ends);
}

bool RejectTracker::sure(const Container& container, Instant since, Instant by,
                         const Recipe& recipe, Counters& counters) {
  bool sure = !container.flagged;
  if (container.dosed && !wait_in_range(container, since, by, recipe.wait_error_max)) {
    counters.add(Counter::kWaitOutOfRange);
    sure = false;
  }
  if constexpr (kDefectRejectOneLate) {
    const bool one_late = last_sure_;
    last_sure_ = sure;
    return one_late;
  }
  return sure;
}

void RejectTracker::reject_back_to_gap(const Moment& moment, Counters& counters) {
  for (; !passed_.empty(); passed_.pop_front()) send_neighbour(moment, passed_.front(), counters);
}

/// A rejected container takes with it those of its neighbours that have not passed the gate.
void RejectTracker::decide(bool sure, const Moment& moment, Length gate_at, Counters& counters) {
  const Recipe& recipe = moment.recipe;
  const auto neighbours = static_cast<std::size_t>(recipe.reject_neighbours);
  if (!sure) {
    while (passed_.size() > neighbours) passed_.pop_front();
    reject_back_to_gap(moment, counters);
    send_to_gate(recipe, gate_at, counters);
    behind_ = recipe.reject_neighbours;
  } else if (behind_ > 0) {
    --behind_;
    send_neighbour(moment, gate_at, counters);
  } else {
    if (passed_.full()) passed_.pop_front();
    passed_.push_back(gate_at);
  }
}

void RejectTracker::send_neighbour(const Moment& moment, Length gate_at, Counters& counters) {
  if (moment.recipe.to_gate == 0_um || gate_at + moment.recipe.gate_after < moment.position) return;
  counters.add(Counter::kNeighbourRejected);
  send_to_gate(moment.recipe, gate_at, counters);
}

void RejectTracker::send_to_gate(const Recipe& recipe, Length gate_at, Counters& counters) {
  if (recipe.to_gate == 0_um) return;
  if (windows_.full()) {
    overflowed_ = true;
    return;
  }
  counters.add(Counter::kRejected);
  windows_.push_back({gate_at - recipe.gate_before, gate_at + recipe.gate_after});
}

/// The belt is up to a pulse further than it was counted, and the gate half a container ahead.
void RejectTracker::lose_places(Length position, const Recipe& recipe) {
  if (recipe.to_gate == 0_um) return;
  unknown_to_ =
      position + recipe.to_gate + recipe.edge_to_centre + recipe.gate_after + recipe.pulse_pitch;
}

void RejectTracker::begin(Length position, const Recipe& recipe) {
  lose_places(position, recipe);
  unsure_ = recipe.transport == Transport::kQueued && recipe.discharge_gap > 0_us;
}

void RejectTracker::move_gate(const Moment& moment, Counters& counters) {
  const Length position = moment.position;
  unknown_ = position < unknown_to_;
  while (!windows_.empty() && windows_.front().to < position) {
    Window& window = windows_.front();
    if (!gate_out_) {
      // One coarse pulse jumped over the whole window: late is better than never.
      window = {position, position + (window.to - window.from)};
      break;
    }
    windows_.pop_front();
    gate_out_ = false;
  }
  const bool was_out = gate_out_;
  gate_out_ = !windows_.empty() && windows_.front().from <= position;
  if (gate_out_ && !was_out && moment.recipe.confirm_max > 0_us) {
    eye_.expect(moment.now + moment.recipe.confirm_max, counters);
  }
}

Length RejectTracker::next_position(const Belt& belt, const Recipe& recipe,
                                    const ContainerQueue& queue) const {
  Length next = kNowhere;
  if (!windows_.empty()) {
    next = gate_out_ ? windows_.front().to + 1_um : windows_.front().from;
  }
  if (unknown_ && unknown_to_ < next) next = unknown_to_;
  if (gap_position_ < next) next = gap_position_;
  const Container* container = queue.next_to_seam();
  if (recipe.transport == Transport::kQueued || container == nullptr) return next;
  const Length sealed = sealed_at(*container, belt, recipe);
  if (belt.pulsed() && !belt.pulsed_to(sealed)) return next;  // the pulse will tell
  return sealed < next ? sealed : next;
}

void RejectTracker::clear() {
  windows_.clear();
  passed_.clear();
  eye_.clear();
  behind_ = 0;
  gap_ends_ = kNever;
  gap_position_ = kNowhere;
  unknown_to_ = Length{-kNever.us};
  gate_out_ = all_ = unknown_ = overflowed_ = unsure_ = false;
}

}  // namespace rimebench
