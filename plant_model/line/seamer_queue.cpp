#include "plant_model/line/seamer_queue.hpp"

#include "plant_model/line/defects.hpp"

namespace rimebench {

SeamerQueue::SeamerQueue(const LineSpec& line, std::int64_t body_um, Conveyed& conveyed)
    : Bound{{line, conveyed}}, body_{body_um} {}

/// The first from `number` on that comes as far as the seamer.
std::int64_t SeamerQueue::not_taken_away(std::int64_t number) const {
  while (conveyed_.has(number) && has_befallen(conveyed_[number], Befell::kTakenBeforeSeam)) {
    ++number;
  }
  return number;
}

Duration SeamerQueue::slowed(std::int64_t us) const {
  return {static_cast<std::int64_t>(static_cast<double>(us) * slowness_)};
}

bool SeamerQueue::arrival_due() const {
  if (waiting_ > 0 && !standing_) return true;
  return conveyed_.has(not_taken_away(tail_));
}

Length SeamerQueue::arrival_travel() const {
  const bool block_moves = waiting_ > 0 && !standing_;
  const Carried& next = conveyed_[not_taken_away(block_moves ? head_ : tail_)];
  const std::int64_t ahead = block_moves ? 0 : waiting_;
  return next.offset + next.slip + taking_position() - Length{ahead * body_.raw};
}

void SeamerQueue::arrive(Instant at, Length travel) {
  if (standing_ || waiting_ == 0) {
    tail_ = not_taken_away(tail_);
    if (waiting_ == 0) head_ = tail_;
    ++waiting_;
    ++tail_;
  }
  if (standing_) return stand(tail_ - 1, at, travel);
  if (at >= busy_until_) return take(at);
  standing_ = true;
  for (std::int64_t number = head_; number < tail_; ++number) stand(number, at, travel);
}

void SeamerQueue::take_standing(Instant at, Length travel) {
  move_on(at, travel);
  take(at);
}

void SeamerQueue::take(Instant at) {
  head_ = not_taken_away(head_);
  Carried& container = conveyed_[head_];
  container.taken = true;
  container.lid = at + slowed(line_.seamer.lid_us);
  container.seam = at + slowed(line_.seamer.seam_us);
  container.discharge = at + slowed(line_.seamer.discharge_us);
  busy_until_ = kDefectNoSeamerCycle ? at : at + slowed(line_.seamer.cycle_us);
  ++head_;
  --waiting_;
}

void SeamerQueue::stand(std::int64_t number, Instant at, Length travel) {
  Carried& container = conveyed_[number];
  if (has_befallen(container, Befell::kTakenBeforeSeam)) return;
  container.holds.push_back({at, kNever, travel, travel});
}

void SeamerQueue::move_on(Instant at, Length travel) {
  for (std::int64_t number = head_; number < tail_; ++number) {
    Carried& container = conveyed_[number];
    if (has_befallen(container, Befell::kTakenBeforeSeam)) continue;
    Hold& hold = container.holds.back();
    hold.to = at;
    hold.travel_to = travel;
    container.slip += travel - hold.travel_from;
  }
  standing_ = false;
}

}  // namespace rimebench
