#include "firmware_sim/core/admission.hpp"

#include "firmware_sim/core/defects.hpp"

namespace rimebench {
namespace {

/// Where the belt stood when the edge that shows now really passed the sensor.
Length edge_position(const Moment& moment) {
  const Length travel = travel_floor(moment.recipe.sensor_latency, moment.belt.speed(moment.now));
  return kDefectLatencySign ? moment.position + travel : moment.position - travel;
}

}  // namespace

std::optional<SensorEdge> Debounce::settle(const Moment& moment, bool level, Counters& counters) {
  // A level that has held just long enough counts even if it ends in this very microsecond.
  std::optional<SensorEdge> edge = believe(moment);
  if (level != raw_) {
    if (raw_ != accepted_) counters.add(Counter::kChatterRejected);
    raw_ = level;
    since_ = edge ? moment.now + 1_us : moment.now;  // one edge an instant
    edge_position_ = edge_position(moment);
  }
  return edge ? edge : believe(moment);
}

std::optional<SensorEdge> Debounce::believe(const Moment& moment) {
  if (moment.now < due(moment.recipe)) return std::nullopt;
  accepted_ = raw_;
  return SensorEdge{accepted_, edge_position_, since_ - moment.recipe.sensor_latency};
}

Instant Debounce::due(const Recipe& recipe) const {
  return raw_ == accepted_ ? kNever : since_ + recipe.debounce;
}

Sighting Admission::settle(const Moment& moment, bool level, Counters& counters) {
  const std::optional<SensorEdge> edge = debounce_.settle(moment, level, counters);
  if (!edge) return Sighting::kNothing;
  if (edge->leading) {
    if (any_ && edge->position - leading_edge_ < moment.recipe.pitch_min) {
      counters.add(Counter::kDoubleEdge);
      return Sighting::kDoubleEdge;
    }
    any_ = measuring_ = true;
    leading_edge_ = edge->position;
    leading_edge_at_ = edge->at;
    return Sighting::kContainer;
  }
  if (!measuring_) return Sighting::kNothing;
  measuring_ = false;
  width_ = edge->position - leading_edge_;
  if (moment.recipe.width_min <= width_ && width_ <= moment.recipe.width_max) {
    return Sighting::kNothing;
  }
  counters.add(Counter::kWidthImplausible);
  return Sighting::kImplausibleWidth;
}

int Admission::in_a_row(const Recipe& recipe) const {
  const std::int64_t one = 2 * recipe.edge_to_centre.raw;
  if (width_ <= recipe.width_max || one == 0) return 1;
  const std::int64_t nearest = (width_.raw + one / 2) / one;
  const bool too_narrow = nearest * recipe.width_min.raw > width_.raw;
  const std::int64_t row = too_narrow ? nearest - 1 : nearest;
  return static_cast<int>(row < 1 ? 1 : row > kRowMax ? kRowMax : row);
}

Length Admission::leading_edge_in_row(const Recipe& recipe, int index) const {
  return leading_edge_ + Length{width_.raw / in_a_row(recipe) * index};
}

}  // namespace rimebench
