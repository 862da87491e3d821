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
  } else if (change.channel == Channel::kLinePulse) {
    // Once it is set up, the speed of the line is no longer looked at.
    if (delay_.raw == 0 && pulse_at_ < change.at) {
      speed_ = {
          mul_div_floor(recipe_.pulse_pitch.raw, kMicrosPerSecond, (change.at - pulse_at_).raw)};
    }
    pulse_at_ = change.at;
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

void StandIn::load() {
  recipe_state_ = stage_.take_commit(Mode::kStopped);
  if (recipe_state_ != kRecipeAccepted) return;
  recipe_ = Recipe(stage_.values());
  delay_ = {};
  if (recipe_.pulse_pitch.raw == 0) speed_ = {stage_.values().get(Parameter::kLineSpeedUmPerS)};
}

/// One dose and one delay at the speed known now, for every container from here on.
void StandIn::set_up() {
  if (speed_.raw <= 0) return;
  const auto time_for = [this](Length distance) {
    return Duration{mul_div_floor(distance.raw, kMicrosPerSecond, speed_.raw)};
  };
  const bool fixed = recipe_.wait_source == WaitSource::kFixed;
  const Duration wait = fixed ? recipe_.wait_fixed : time_for(recipe_.nozzle_to_seam);
  const std::int64_t gain =
      recipe_.wait_curve.empty() ? 1'000'000 : recipe_.wait_curve.at(wait.raw);
  open_ = {recipe_.open_curve.at(mul_div_floor(recipe_.dose.raw, gain, 1'000'000))};
  delay_ = time_for(recipe_.sensor_to_nozzle + recipe_.edge_to_centre) - recipe_.sensor_latency -
           shot_lead(recipe_, open_);
}

void StandIn::see_container(Instant now) {
  if (delay_.raw == 0) set_up();
  if (delay_.raw <= 0 || open_.raw <= 0 || count_ == kWaitingMax) return;
  const Duration apart{mul_div_floor(recipe_.pitch_min.raw, kMicrosPerSecond, speed_.raw)};
  const bool same = seen_at_ > Instant{} && now - seen_at_ < apart;
  seen_at_ = now;
  if (!same) waiting_[(first_ + count_++) % kWaitingMax] = now + delay_;
}

void StandIn::run_shot(Instant now) {
  if (kind_ == StandInKind::kNeverDose) return;
  if (!started_ || !permit_ || !chain_) {
    count_ = 0;
    close_at_ = kNever;
    valve_ = false;
    return;
  }
  if (now >= close_at_) {
    valve_ = false;
    close_at_ = kNever;
  } else if (count_ > 0 && now >= waiting_[first_]) {
    if (!valve_) close_at_ = now + open_;
    valve_ = true;
    first_ = (first_ + 1) % kWaitingMax;
    --count_;
  }
  if (sensor_rose_) see_container(now);
}

Outputs StandIn::advance(Instant until) {
  const Instant now = next_wake();
  if (now >= until) return Outputs(now);
  if (stage_.commit_pending()) load();
  run_shot(now);
  sensor_rose_ = false;
  taken_at_ = kNever;
  timer_at_ = count_ > 0 ? earlier(waiting_[first_], close_at_) : close_at_;
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
