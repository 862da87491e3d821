#include "plant_model/line/seamer_queue.hpp"

namespace rimebench {

namespace {

void fold_oldest_hold(Carried& container) {
  const Length slip = container.holds[0].travel_to - container.holds[0].travel_from;
  container.offset += slip;
  container.slip -= slip;
  --container.holds_used;
  for (int i = 0; i < container.holds_used; ++i) {
    container.holds[static_cast<std::size_t>(i)] = container.holds[static_cast<std::size_t>(i + 1)];
  }
}

}  // namespace

SeamerQueue::SeamerQueue(const LineSpec& line, std::int64_t body_um, Conveyed& conveyed)
    : line_(line), body_{body_um}, conveyed_(conveyed) {}

bool SeamerQueue::arrival_due() const {
  if (waiting_ > 0 && !standing_) return true;
  return conveyed_.has(head_ + waiting_);
}

Length SeamerQueue::arrival_travel() const {
  const bool block_moves = waiting_ > 0 && !standing_;
  const Carried& next = conveyed_[block_moves ? head_ : head_ + waiting_];
  const std::int64_t ahead = block_moves ? 0 : waiting_;
  return next.offset + next.slip + taking_position() - Length{ahead * body_.raw};
}

void SeamerQueue::arrive(Instant at, Length travel) {
  if (standing_) return stand(head_ + waiting_++, at, travel);
  if (waiting_ == 0) waiting_ = 1;
  if (at >= busy_until_) return take(at);
  standing_ = true;
  for (std::int64_t number = head_; number < head_ + waiting_; ++number) stand(number, at, travel);
}

void SeamerQueue::take_standing(Instant at, Length travel) {
  move_on(at, travel);
  take(at);
}

void SeamerQueue::take(Instant at) {
  Carried& container = conveyed_[head_];
  container.taken = true;
  container.lid = at + Duration{line_.seamer.lid_us};
  container.seam = at + Duration{line_.seamer.seam_us};
  busy_until_ = at + Duration{line_.seamer.cycle_us};
  ++head_;
  --waiting_;
}

void SeamerQueue::stand(std::int64_t number, Instant at, Length travel) {
  Carried& container = conveyed_[number];
  if (container.holds_used == kHoldsMax) fold_oldest_hold(container);
  container.holds[static_cast<std::size_t>(container.holds_used++)] = {at, kNever, travel, travel};
}

void SeamerQueue::move_on(Instant at, Length travel) {
  for (std::int64_t number = head_; number < head_ + waiting_; ++number) {
    Carried& container = conveyed_[number];
    Hold& hold = container.holds[static_cast<std::size_t>(container.holds_used - 1)];
    hold.to = at;
    hold.travel_to = travel;
    container.slip += travel - hold.travel_from;
  }
  standing_ = false;
}

}  // namespace rimebench
