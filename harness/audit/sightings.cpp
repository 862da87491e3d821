#include "harness/audit/sightings.hpp"

#include <algorithm>
#include <cmath>

namespace rimebench {

namespace {

/// Levels that hold for the debounce time; what is shorter goes, with both its edges.
std::vector<Pulse> debounced(const CapturedLine& line, double debounce_us, std::int64_t& chatter) {
  std::vector<Pulse> steady;
  for (const Pulse& pulse : pulses_of(line, Channel::kContainerSensor)) {
    if (!steady.empty() && pulse.from_us - steady.back().to_us < debounce_us) {
      steady.back().to_us = pulse.to_us;  // a gap too short to be one
      ++chatter;
    } else if (pulse.length() < debounce_us) {
      ++chatter;
    } else {
      steady.push_back(pulse);
    }
  }
  return steady;
}

constexpr double kFarBehindUm = -1e15;

/// Counts places as the controller does, from the group signal or from the gaps.
class Places {
 public:
  Places(const CapturedLine& line, const BeltTrack& belt, const RecipeValues& recipe)
      : source_(static_cast<PlaceSource>(recipe.get(Parameter::kPlaceSource))),
        head_pitch_um_(recipe.get(Parameter::kHeadPitchUm)),
        gap_um_(recipe.get(Parameter::kGroupGapUm)),
        count_(recipe.get(Parameter::kPlaceCount)),
        to_group_um_(recipe.get(Parameter::kGroupStartToSensorUm) - 0.5 * head_pitch_um_) {
    if (gap_um_ > 0.0) return;
    for (const Pulse& pulse : pulses_of(line, Channel::kGroupStart)) {
      if (const auto at = belt.position(pulse.from_us)) groups_um_.push_back(*at + to_group_um_);
    }
    std::sort(groups_um_.begin(), groups_um_.end());
  }

  bool known() const {
    return source_ == PlaceSource::kNone || gap_um_ > 0.0 || !groups_um_.empty();
  }

  int next(double edge_um) {
    if (source_ == PlaceSource::kNone) return 1;
    if (gap_um_ > 0.0 && edge_um - last_um_ > gap_um_) {
      begin(edge_um - 0.5 * head_pitch_um_);
    }
    while (taken_ < groups_um_.size() && groups_um_[taken_] <= edge_um) begin(groups_um_[taken_++]);
    last_um_ = edge_um;
    int number = containers_++;
    if (source_ == PlaceSource::kHeadNumber && head_pitch_um_ > 0.0) {
      number = static_cast<int>(std::floor((edge_um - group_um_) / head_pitch_um_));
    }
    return std::clamp(number, 0, count_ - 1) + 1;
  }

 private:
  void begin(double at_um) {
    group_um_ = at_um;
    containers_ = 0;
  }

  PlaceSource source_;
  double head_pitch_um_;
  double gap_um_;
  int count_;
  double to_group_um_;
  std::vector<double> groups_um_;
  std::size_t taken_{0};
  double last_um_{kFarBehindUm};
  double group_um_{0.0};
  int containers_{0};
};

}  // namespace

SeenContainers see_containers(const CapturedLine& line, const BeltTrack& belt,
                              const RecipeValues& recipe) {
  SeenContainers seen;
  seen.begins_in_container = line.first_level(Channel::kContainerSensor) != 0;
  Places places(line, belt, recipe);
  seen.places_known = places.known();
  const double pitch_min = recipe.get(Parameter::kPitchMinUm);
  const auto latency = static_cast<double>(recipe.get(Parameter::kSensorLatencyUs));
  for (const Pulse& pulse :
       debounced(line, static_cast<double>(recipe.get(Parameter::kDebounceUs)), seen.chatter)) {
    const auto edge = belt.position(pulse.from_us);
    const auto speed = belt.speed(pulse.from_us);
    const auto rear = belt.position(pulse.to_us);
    if (!edge || !speed) {
      ++seen.off_belt;
      continue;
    }
    if (!seen.containers.empty() && *edge - seen.containers.back().edge_um < pitch_min) {
      ++seen.double_edges;
      continue;
    }
    const int place = places.next(*edge - latency * *speed);
    seen.containers.push_back({pulse.from_us, *edge, *speed, rear ? *rear - *edge : 0.0, place,
                               belt.steady(pulse.from_us)});
  }
  return seen;
}

}  // namespace rimebench
