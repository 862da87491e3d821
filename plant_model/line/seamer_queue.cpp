#include "plant_model/line/seamer_queue.hpp"

#include "plant_model/line/defects.hpp"

namespace rimebench {

SeamerQueue::SeamerQueue(const LineSpec& line, std::int64_t body_um, Conveyed& conveyed)
    : Bound{{line, conveyed}}, body_{body_um} {}

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
  busy_until_ = kDefectNoSeamerCycle ? at : at + Duration{line_.seamer.cycle_us};
  ++head_;
  --waiting_;
}

void SeamerQueue::stand(std::int64_t number, Instant at, Length travel) {
  Carried& container = conveyed_[number];
  container.holds.push_back({at, kNever, travel, travel});
}

void SeamerQueue::move_on(Instant at, Length travel) {
  for (std::int64_t number = head_; number < head_ + waiting_; ++number) {
    Carried& container = conveyed_[number];
    Hold& hold = container.holds.back();
    hold.to = at;
    hold.travel_to = travel;
    container.slip += travel - hold.travel_from;
  }
  standing_ = false;
}

}  // namespace rimebench
