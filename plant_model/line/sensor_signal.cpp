#include "plant_model/line/sensor_signal.hpp"

#include <algorithm>

namespace rimebench {

SensorSignal::SensorSignal(const PlantSpec& spec) {
  std::vector<Stuck> all;
  for (const bool high : {false, true}) {
    const SpellKind kind = high ? SpellKind::kSensorStuckHigh : SpellKind::kSensorStuckLow;
    for (const Occurrence& spell : occurrences(spec, kind)) {
      all.push_back({spell.from, spell.to, high});
    }
  }
  std::stable_sort(all.begin(), all.end(),
                   [](const Stuck& a, const Stuck& b) { return a.from < b.from; });
  stuck_ = std::make_shared<const std::vector<Stuck>>(std::move(all));
}

Instant SensorSignal::set(Instant at, bool high, InputQueue& inputs) {
  at = later(at, last_change_ + 1_us);
  settle(at - 1_us, inputs);
  at = later(at, last_change_ + 1_us);
  last_change_ = at;
  true_level_ = high;
  if (!is_stuck_) show(at, high, inputs);
  return at;
}

void SensorSignal::settle(Instant at, InputQueue& inputs) {
  while (next_ < stuck_->size()) {
    const Stuck& stuck = (*stuck_)[next_];
    const Instant due = is_stuck_ ? stuck.to : stuck.from;
    if (due > at) return;
    is_stuck_ = !is_stuck_;
    if (!is_stuck_) ++next_;
    last_change_ = later(due, last_change_ + 1_us);
    show(last_change_, is_stuck_ ? stuck.high : true_level_, inputs);
  }
}

void SensorSignal::show(Instant at, bool high, InputQueue& inputs) {
  if (high == shown_) return;
  shown_ = high;
  inputs.put({at, Channel::kContainerSensor, high ? 1 : 0});
}

}  // namespace rimebench
