#include "firmware_sim/core/reject_tracker.hpp"

#include "firmware_sim/core/defects.hpp"

namespace rimebench {
namespace {

bool wait_in_range(const Container& container, Instant seamed_at, Duration error_max) {
  const Duration error = seamed_at - container.landing - container.expected_wait;
  return -error_max <= error && error <= error_max;
}

}  // namespace

void RejectTracker::on_discharge(const Moment& moment, ContainerQueue& queue, Counters& counters) {
  if (moment.recipe.transport != Transport::kQueued) return;
  // The sensor sees the leading edge; the window is about the centre, which follows.
  const Length gate_at = moment.position + moment.recipe.edge_to_centre + moment.recipe.to_gate;
  const Container* container = queue.next_to_seam();
  if (container == nullptr) {
    counters.add(Counter::kDischargeUnexpected);
    send_to_gate(moment.recipe, gate_at, counters);
    return;
  }
  const Instant seamed_at = moment.now - moment.recipe.seam_to_discharge;
  if (!sure(*container, seamed_at, moment.recipe, counters)) {
    send_to_gate(moment.recipe, gate_at, counters);
  }
  queue.leave();
}

void RejectTracker::settle(const Moment& moment, ContainerQueue& queue, Counters& counters) {
  if (moment.recipe.transport == Transport::kLocked) {
    for (const Container* container = queue.next_to_seam();
         container != nullptr &&
         container->centre + moment.recipe.sensor_to_seam <= moment.position;
         container = queue.next_to_seam()) {
      if (!sure(*container, moment.now, moment.recipe, counters)) {
        send_to_gate(moment.recipe, container->centre + moment.recipe.to_gate, counters);
      }
      queue.leave();
    }
  }
  move_gate(moment.position);
}

bool RejectTracker::sure(const Container& container, Instant seamed_at, const Recipe& recipe,
                         Counters& counters) {
  bool sure = !container.flagged;
  if (container.dosed && !wait_in_range(container, seamed_at, recipe.wait_error_max)) {
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

void RejectTracker::send_to_gate(const Recipe& recipe, Length gate_at, Counters& counters) {
  if (recipe.to_gate == 0_um) return;
  if (windows_.full()) {
    overflowed_ = true;
    return;
  }
  counters.add(Counter::kRejected);
  windows_.push_back({gate_at - recipe.gate_before, gate_at + recipe.gate_after});
}

void RejectTracker::move_gate(Length position) {
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
  gate_out_ = !windows_.empty() && windows_.front().from <= position;
}

Length RejectTracker::next_position(const Recipe& recipe, const ContainerQueue& queue) const {
  Length next = kNowhere;
  if (!windows_.empty()) {
    next = gate_out_ ? windows_.front().to + 1_um : windows_.front().from;
  }
  const Container* container = queue.next_to_seam();
  if (recipe.transport == Transport::kQueued || container == nullptr) return next;
  const Length seam = container->centre + recipe.sensor_to_seam;
  return seam < next ? seam : next;
}

void RejectTracker::clear() {
  windows_.clear();
  gate_out_ = false;
  overflowed_ = false;
}

}  // namespace rimebench
