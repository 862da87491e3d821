#include "firmware_sim/core/dose_controller.hpp"

namespace rimebench {
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
  return inputs_.changed_only(Channel::kLinePulse) && now < timer_at_ && has_recipe_ && !serving_ &&
         !shots_.in_reach(belt_, recipe_, queue_) &&
         belt_.time_of(rejects_.next_position(recipe_, queue_)) == kNever;
}

/// Every part in its turn; the guard looks first and has the last word.
void DoseController::settle(Instant now) {
  watch_head(now);
  Interlocks interlocks = this->interlocks();
  guard_.watch(now, interlocks, in_use(mode_));
  limit_.watch(now, recipe_.open_budget);
  run_modes(now, interlocks);
  interlocks = this->interlocks();
  supply_.count(now, recipe_.supply, in_production(mode_));
  if (has_recipe_) {
    if (inputs_.changed(Channel::kRunPermit)) belt_.on_run_permit(now, interlocks.run_permit);
    const Moment moment{now, belt_.position(now), belt_, recipe_, supply_.gain()};
    track(moment);
    interlocks.nozzle_clear = serve(moment);
    shots_.settle(moment, mode_, queue_, counters_);
    rejects_.settle(moment, queue_, counters_);
    if (lost_track_ || rejects_.overflowed()) abort(now, Fault::kContainerQueueFull);
    command(now, interlocks);
  }
  timer_at_ = next_timer(now);
  DEMAND(timer_at_ > now);
}

/// The valve's level at the end of the instant; what the guards refuse is a fault.
void DoseController::command(Instant now, const Interlocks& interlocks) {
  const ValveRequest request = shots_.request().open ? shots_.request() : service_.request();
  const bool was_open = valve_;
  const bool allowed = guard_.allow(now, request, interlocks, recipe_.guard);
  valve_ = limit_.allow(now, allowed, recipe_.open_budget);
  on_valve(now, was_open, request);
  const Fault fault = present_fault(now);
  if (fault != Fault::kNone) abort(now, fault);
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
  const Mode before = mode_;
  const bool valve_seen_open = recipe_.guard.feedback_max > 0_us && interlocks.valve_feedback;
  const bool causes_gone = interlocks.healthy() && !valve_seen_open;
  if (inputs_.rose(Channel::kOperatorReset) && has_recipe_ && causes_gone) {
    reset_faults();
    mode_ = next_mode(mode_, ModeEvent::kReset);
  }
  bring_up(now);
  mode_ =
      next_mode(mode_, interlocks.run_permit ? ModeEvent::kPermitGiven : ModeEvent::kPermitLost);
  if (inputs_.rose(Channel::kOperatorStop)) mode_ = next_mode(mode_, ModeEvent::kStop);
  // The mode reached may ask for more than the one before did: a start that is over for liquid.
  if (mode_ != before) guard_.watch(now, this->interlocks(), in_use(mode_));
  const Fault fault = present_fault(now);
  if (fault != Fault::kNone) abort(now, fault);
}

/// What is wrong at this instant, the worst first; kNone if nothing is.
Fault DoseController::present_fault(Instant now) const {
  if (guard_.fault() != Fault::kNone) return guard_.fault();
  if (limit_.spent()) return Fault::kOpenTooMuch;
  if (speed_.unfit(recipe_.slow)) return Fault::kValveSlow;
  if (supply_.out_too_long(now)) return Fault::kHeadOutOfRange;
  const bool warm = mode_ == Mode::kStarting && start_.too_long(now, recipe_.start);
  return warm ? Fault::kCoolDownTooLong : Fault::kNone;
}

void DoseController::abort(Instant now, Fault fault) {
  if (mode_ == Mode::kAborted) return;
  fault_ = fault;
  mode_ = next_mode(mode_, ModeEvent::kFault);
  shots_.end(now, queue_, counters_);
  service_.cut(now, counters_);
}

void DoseController::reset_faults() {
  if (fault_ == Fault::kContainerQueueFull) {
    queue_.clear();
    groups_.clear();
    rejects_.clear();
    lost_track_ = false;
  }
  guard_.reset();
  limit_.reset();
  speed_.reset();
  supply_.reset();
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

Instant DoseController::next_timer(Instant now) const {
  if (!has_recipe_) return kNever;
  const Instant sensor_or_shot = earlier(admission_.due(recipe_), shots_.due());
  const Instant belt = belt_.time_of(rejects_.next_position(recipe_, queue_));
  return earlier(earlier(earlier(sensor_or_shot, guard_.due()), belt), head_due(now));
}

Outputs DoseController::drive(Instant now) {
  Outputs outputs(now);
  drive(outputs, Channel::kValve, valve_ ? 1 : 0);
  drive(outputs, Channel::kReject, rejects_.reject() ? 1 : 0);
  drive(outputs, Channel::kLinePermit, mode_ != Mode::kAborted ? 1 : 0);
  drive(outputs, Channel::kSupplyIsolation, supply_open() ? 1 : 0);
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
