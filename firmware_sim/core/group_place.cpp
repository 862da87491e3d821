#include "firmware_sim/core/group_place.hpp"

#include "firmware_sim/core/defects.hpp"

namespace rimebench {

bool GroupPlace::on_group_start(Length position, const Recipe& recipe) {
  if (recipe.place_source == PlaceSource::kNone) return true;
  if (pending_.full()) return false;
  pending_.push_back(position);
  return true;
}

int GroupPlace::place_of(Length leading_edge, const Recipe& recipe, Counters& counters) {
  if (recipe.place_source == PlaceSource::kNone) return 0;
  while (!pending_.empty() && pending_.front() + recipe.group_start_to_group <= leading_edge) {
    group_start_ = pending_.front();
    pending_.pop_front();
    containers_ = 0;
    in_group_ = true;
  }
  std::int64_t place = containers_++;
  if (recipe.place_source == PlaceSource::kHeadNumber && recipe.head_pitch > 0_um && in_group_) {
    const Length into_group = leading_edge - group_start_ - recipe.group_start_to_group;
    place = into_group.raw / recipe.head_pitch.raw;
  }
  if constexpr (kDefectPlaceOffByOne) ++place;
  if (place < recipe.place_count) return static_cast<int>(place);
  counters.add(Counter::kPlaceSaturated);
  return recipe.place_count - 1;
}

}  // namespace rimebench
