#include "firmware_sim/core/dose_controller.hpp"

namespace rimebench {
namespace {

Interlocks interlocks_of(const Inputs& inputs) {
  return {.run_permit = inputs.high(Channel::kRunPermit),
          .safety_chain = inputs.high(Channel::kSafetyChain),
          .supply_ready = inputs.high(Channel::kSupplyReady),
          .link_alive = inputs.high(Channel::kLinkAlive),
          .valve_feedback = inputs.high(Channel::kValveFeedback)};
}

}  // namespace

void DoseController::on_change(SignalChange change) {
  DEMAND(change.at > settled_ && change.at <= next_wake());
  DEMAND(taken_at_ == kNever || taken_at_ == change.at);
  DEMAND(class_of(change.channel) == ChannelClass::kToController);
  taken_at_ = change.at;
  if (Inputs::carries(change.channel)) {
    inputs_.take(change.channel, change.value);
  } else {
    stage_.take(change.channel, change.value);
  }
}

Outputs DoseController::advance(Instant until) {
  const Instant now = next_wake();
  if (now >= until) return Outputs(now);
  settled_ = now;
  taken_at_ = kNever;

  const bool commit = stage_.commit_pending();
  if (commit) take_commit(now);
  if (has_recipe_ && inputs_.changed(Channel::kLinePulse)) belt_.on_pulse(now);
  const bool quiet = !commit && quiet_pulse(now);
  if (!quiet) settle(now);
  inputs_.settled();
  return quiet ? Outputs(now) : drive(now);
}

/// Most instants are a line pulse that brings nothing within reach: it changes no output, no timer.
bool DoseController::quiet_pulse(Instant now) const {
  return inputs_.changed_only(Channel::kLinePulse) && now < timer_at_ && has_recipe_ &&
         !shots_.in_reach(belt_, recipe_, queue_) &&
         belt_.time_of(rejects_.next_position(recipe_, queue_)) == kNever;
}

/// Every part in its turn; the guard looks first and has the last word.
void DoseController::settle(Instant now) {
  const Interlocks interlocks = interlocks_of(inputs_);
  guard_.watch(now, interlocks, in_use(mode_));
  run_modes(now, interlocks);
  if (has_recipe_) {
    if (inputs_.changed(Channel::kRunPermit)) belt_.on_run_permit(now, interlocks.run_permit);
    const Moment moment{now, belt_.position(now), belt_, recipe_};
    track(moment);
    shots_.settle(moment, mode_, queue_, counters_);
    rejects_.settle(moment, queue_, counters_);
    if (lost_track_ || rejects_.overflowed()) abort(now, Fault::kContainerQueueFull);
    valve_ = guard_.allow(now, shots_.request(), interlocks, recipe_.guard);
    if (guard_.fault() != Fault::kNone) abort(now, guard_.fault());
  }
  timer_at_ = next_timer();
  DEMAND(timer_at_ > now);
}

void DoseController::take_commit(Instant now) {
  recipe_state_ = stage_.take_commit(mode_);
  if (recipe_state_ != kRecipeAccepted) return;
  recipe_ = Recipe(stage_.values());
  belt_.configure(now, recipe_, inputs_.high(Channel::kRunPermit));
  if (!has_recipe_) admission_.begin(inputs_.high(Channel::kContainerSensor));
  has_recipe_ = true;
  queue_.flag_all();  // a container between two recipes is not surely right
}

/// At one instant the safest event has the last word.
void DoseController::run_modes(Instant now, const Interlocks& interlocks) {
  const bool valve_seen_open = recipe_.guard.feedback_max > 0_us && interlocks.valve_feedback;
  const bool causes_gone = interlocks.healthy() && !valve_seen_open;
  if (inputs_.rose(Channel::kOperatorReset) && has_recipe_ && causes_gone) {
    reset_faults();
    mode_ = next_mode(mode_, ModeEvent::kReset);
  }
  if (inputs_.rose(Channel::kOperatorStart)) mode_ = next_mode(mode_, ModeEvent::kStart);
  if (mode_ == Mode::kStarting) mode_ = next_mode(mode_, ModeEvent::kReady);
  mode_ =
      next_mode(mode_, interlocks.run_permit ? ModeEvent::kPermitGiven : ModeEvent::kPermitLost);
  if (inputs_.rose(Channel::kOperatorStop)) mode_ = next_mode(mode_, ModeEvent::kStop);
  if (guard_.fault() != Fault::kNone) abort(now, guard_.fault());
}

void DoseController::abort(Instant now, Fault fault) {
  if (mode_ == Mode::kAborted) return;
  fault_ = fault;
  mode_ = next_mode(mode_, ModeEvent::kFault);
  shots_.end(now, queue_, counters_);
}

void DoseController::reset_faults() {
  if (fault_ == Fault::kContainerQueueFull) {
    queue_.clear();
    groups_.clear();
    rejects_.clear();
    lost_track_ = false;
  }
  guard_.reset();
  fault_ = Fault::kNone;
}

void DoseController::track(const Moment& moment) {
  if (inputs_.rose(Channel::kGroupStart) &&
      !groups_.on_group_start(moment.position, moment.recipe)) {
    lost_track_ = true;
  }
  switch (admission_.settle(moment, inputs_.high(Channel::kContainerSensor), counters_)) {
    case Sighting::kNothing:
      break;
    case Sighting::kContainer:
      admit(moment, admission_.leading_edge());
      break;
    case Sighting::kImplausibleWidth:
      if (Container* container = queue_.newest()) container->flagged = true;
      break;
  }
  if (inputs_.rose(Channel::kDischargeSensor)) rejects_.on_discharge(moment, queue_, counters_);
}

void DoseController::admit(const Moment& moment, Length leading_edge) {
  if (queue_.full()) {
    lost_track_ = true;
    return;
  }
  queue_.admit({.centre = leading_edge + moment.recipe.edge_to_centre,
                .place = groups_.place_of(leading_edge, moment.recipe, counters_)});
}

Instant DoseController::next_timer() const {
  if (!has_recipe_) return kNever;
  const Instant sensor_or_shot = earlier(admission_.due(recipe_), shots_.due());
  const Instant belt = belt_.time_of(rejects_.next_position(recipe_, queue_));
  return earlier(earlier(sensor_or_shot, guard_.due()), belt);
}

Outputs DoseController::drive(Instant now) {
  Outputs outputs(now);
  drive(outputs, Channel::kValve, valve_ ? 1 : 0);
  drive(outputs, Channel::kReject, rejects_.reject() ? 1 : 0);
  drive(outputs, Channel::kLinePermit, mode_ != Mode::kAborted ? 1 : 0);
  drive(outputs, Channel::kSupplyIsolation, in_use(mode_) ? 1 : 0);
  drive(outputs, Channel::kAlarm, static_cast<std::int32_t>(fault_));
  drive(outputs, Channel::kMode, static_cast<std::int32_t>(mode_));
  drive(outputs, Channel::kRecipeState, recipe_state_);
  if (!counters_.take_grown()) return outputs;
  for (int i = 0; i < static_cast<int>(Counter::kCount); ++i) {
    const auto counter = static_cast<Counter>(i);
    drive(outputs, counter_channel(counter), counters_.value(counter));
  }
  return outputs;
}

void DoseController::drive(Outputs& outputs, Channel channel, std::int32_t value) {
  std::int32_t& sent = sent_[output_index(channel)];
  if (sent == value) return;
  sent = value;
  outputs.push_back(channel, value);
}

}  // namespace rimebench
