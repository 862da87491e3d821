#include "firmware_sim/core/group_place.hpp"

#include "firmware_sim/core/defects.hpp"

namespace rimebench {

bool GroupPlace::on_group_start(Length position, const Recipe& recipe) {
  if (recipe.place_source == PlaceSource::kNone || recipe.group_gap > 0_um) return true;
  if (pending_.full()) return false;
  pending_.push_back(position);
  return true;
}

Place GroupPlace::place_of(Length leading_edge, const Recipe& recipe, Counters& counters) {
  if (recipe.place_source == PlaceSource::kNone) return {};
  while (!pending_.empty() && pending_.front() + recipe.group_start_to_group <= leading_edge) {
    begin(pending_.front(), recipe, counters);
    pending_.pop_front();
  }
  if (recipe.group_gap > 0_um && (!edge_seen_ || leading_edge - last_edge_ > recipe.group_gap)) {
    // The first one seen counts as the first head's.
    const Length half_head{recipe.head_pitch.raw / 2};
    begin(leading_edge - half_head - recipe.group_start_to_group, recipe, counters);
  }
  edge_seen_ = true;
  last_edge_ = leading_edge;

  Place place{.short_group = short_group_};
  short_group_ = 0;
  std::int64_t number = containers_++;
  if (recipe.head_pitch > 0_um && in_group_) {
    const Length into_group = leading_edge - group_start_ - recipe.group_start_to_group;
    const std::int64_t head = into_group.raw / recipe.head_pitch.raw;
    // So many heads ahead of it released nothing, or the sensor missed what they released: the
    // group is too small, and nobody has to wait for its end to know.
    const std::int64_t nobody = head - number;
    if (recipe.group_check && recipe.place_count - nobody < recipe.group_size_min) {
      place.sure = false;
    }
    if (recipe.place_source == PlaceSource::kHeadNumber) number = head;
    if (recipe.group_check && !announced(head, recipe)) {
      counters.add(Counter::kGroupUnannounced);
      place.sure = false;
    }
  }
  if constexpr (kDefectPlaceOffByOne) ++number;
  if (number < 0) {  // it came before the first head of its group could
    counters.add(Counter::kGroupUnannounced);
    number = 0;
    place.sure = false;
  }
  if (number >= recipe.place_count) {
    counters.add(Counter::kPlaceSaturated);
    number = recipe.place_count - 1;
    place.sure = place.sure && !recipe.group_check;
  }
  place.number = static_cast<int>(number);
  return place;
}

void GroupPlace::begin(Length group_start, const Recipe& recipe, Counters& counters) {
  if (in_group_ && containers_ < recipe.group_size_min) {
    counters.add(Counter::kGroupSizeWrong);
    short_group_ += containers_;
  }
  group_start_ = group_start;
  containers_ = 0;
  in_group_ = true;
}

/// Behind a signal that was lost or came late containers stand where the last group has no head.
bool GroupPlace::announced(std::int64_t head, const Recipe& recipe) const {
  return recipe.group_gap > 0_um || head < recipe.place_count;
}

}  // namespace rimebench
