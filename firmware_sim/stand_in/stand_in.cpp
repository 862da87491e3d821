#include "firmware_sim/stand_in/stand_in.hpp"

#include "firmware_sim/core/curve.hpp"

namespace rimebench {

void StandIn::on_change(SignalChange change) {
  taken_at_ = change.at;
  const bool high = change.value != 0;
  if (number(change.channel) >= number(Channel::kRecipeFirst)) {
    stage_.take(change.channel, change.value);
  } else if (change.channel == Channel::kContainerSensor) {
    sensor_rose_ = sensor_rose_ || (high && !sensor_);
    sensor_ = high;
  } else if (change.channel == Channel::kRunPermit) {
    permit_ = high;
  } else if (change.channel == Channel::kSafetyChain) {
    chain_ = high;
  } else if (change.channel == Channel::kOperatorStart && high) {
    started_ = true;
  } else if (change.channel == Channel::kOperatorStop && high) {
    started_ = false;
  }
}

/// One dose and one delay from the recipe's nominal speed, for every container the same.
void StandIn::load() {
  recipe_state_ = stage_.take_commit(Mode::kStopped);
  if (recipe_state_ != kRecipeAccepted) return;
  const Recipe recipe(stage_.values());
  open_ = {recipe.open_curve.at(recipe.dose.raw)};
  const std::int64_t travel_um = recipe.sensor_to_nozzle.raw + recipe.edge_to_centre.raw;
  const std::int32_t speed = stage_.values().get(Parameter::kLineSpeedUmPerS);
  const Duration travel{mul_div_floor(travel_um, kMicrosPerSecond, speed > 0 ? speed : 1)};
  delay_ = travel - recipe.sensor_latency - shot_lead(recipe, open_);
}

void StandIn::run_shot(Instant now) {
  if (kind_ == StandInKind::kNeverDose) return;
  if (!started_ || !permit_ || !chain_) {
    open_at_ = close_at_ = kNever;
    valve_ = false;
    return;
  }
  if (now >= open_at_) {
    valve_ = true;
    close_at_ = now + open_;
    open_at_ = kNever;
  } else if (now >= close_at_) {
    valve_ = false;
    close_at_ = kNever;
  }
  const bool free = open_at_ == kNever && close_at_ == kNever;
  if (sensor_rose_ && free && delay_.raw > 0 && open_.raw > 0) open_at_ = now + delay_;
}

Outputs StandIn::advance(Instant until) {
  const Instant now = next_wake();
  if (now >= until) return Outputs(now);
  if (stage_.commit_pending()) load();
  run_shot(now);
  sensor_rose_ = false;
  taken_at_ = kNever;
  timer_at_ = earlier(open_at_, close_at_);
  return drive(now);
}

Outputs StandIn::drive(Instant now) {
  const bool loaded = recipe_state_ == kRecipeAccepted;
  Outputs outputs(now);
  const auto drive = [&](Channel channel, std::int32_t value) {
    std::int32_t& sent = sent_[output_index(channel)];
    if (sent != value) outputs.push_back(channel, value);
    sent = value;
  };
  drive(Channel::kValve, valve_ ? 1 : 0);
  drive(Channel::kReject, kind_ == StandInKind::kAlwaysReject && started_ ? 1 : 0);
  drive(Channel::kLinePermit, loaded ? 1 : 0);
  drive(Channel::kSupplyIsolation, loaded ? 1 : 0);
  drive(Channel::kMode, static_cast<std::int32_t>(started_ ? Mode::kExecute : Mode::kStopped));
  drive(Channel::kRecipeState, recipe_state_);
  return outputs;
}

}  // namespace rimebench
