#include "firmware_sim/core/dose_controller.hpp"

#include "firmware_sim/core/landing_check.hpp"

namespace rimebench {
namespace {

/// Faults after which nobody knows what stands where between sensor and gate.
bool lost_place(Fault fault) {
  return fault == Fault::kPulseLost || fault == Fault::kPulseImplausible ||
         fault == Fault::kSensorStuckHigh || fault == Fault::kSensorStuckLow;
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
  PulseVerdict pulse = PulseVerdict::kPlausible;
  bool landed_well = true;
  if (has_recipe_ && inputs_.changed(Channel::kLinePulse)) {
    const Instant before = belt_.changed_at();
    const PulseSpan span{before, now, belt_.position(before)};
    pulse = belt_.on_pulse(now, recipe_, inputs_.high(Channel::kRunPermit));
    dosing_.see(belt_.speed(now), recipe_);
    landed_well =
        pulse == PulseVerdict::kExtra || !check_landings(span, belt_, recipe_, queue_, counters_);
  }
  const bool quiet =
      !commit && landed_well && pulse == PulseVerdict::kPlausible && quiet_pulse(now);
  if (!quiet) settle(now, pulse);
  inputs_.settled();
  return quiet ? Outputs(now) : drive(now);
}

/// Most instants are a line pulse that brings nothing within reach: it changes no output, no timer.
bool DoseController::quiet_pulse(Instant now) const {
  return inputs_.changed_only(Channel::kLinePulse) && now < timer_at_ && has_recipe_ && !serving_ &&
         !dosing_.in_reach(belt_, recipe_, queue_) && belt_.time_of(next_position()) == kNever;
}

/// Every part in its turn; the guard looks first and has the last word.
void DoseController::settle(Instant now, PulseVerdict pulse) {
  watch_head(now);
  Interlocks interlocks = this->interlocks();
  guard_.watch(now, interlocks, in_use(mode_));
  limit_.watch(now, recipe_.open_budget);
  run_modes(now, interlocks);
  interlocks = this->interlocks();
  supply_.count(now, recipe_.supply, in_production(mode_));
  if (has_recipe_) {
    const bool running = inputs_.high(Channel::kRunPermit);
    if (inputs_.changed(Channel::kRunPermit)) {
      belt_.on_run_permit(now, running);
      dosing_.see(belt_.speed(now), recipe_);
    }
    const Moment moment{now, belt_.position(now), belt_, recipe_, seamer_, supply_.gain()};
    check_.on_pulse(pulse, moment, queue_, counters_);
    if (pulse == PulseVerdict::kByHand) rejects_.lose_places(moment.position, recipe_);
    track(moment);
    interlocks.nozzle_clear = serve(moment);
    dosing_.settle(moment, mode_, queue_, counters_);
    const bool moving = running && inputs_.high(Channel::kSeamerRunning);
    rejects_.settle(moment, moving, queue_, counters_);
    if (const Fault fault = track_fault(); fault != Fault::kNone) abort(now, fault);
    command(now, interlocks);
  }
  timer_at_ = next_timer(now);
  DEMAND(timer_at_ > now);
}

/// The valve's level at the end of the instant; what the guards refuse is a fault.
void DoseController::command(Instant now, const Interlocks& interlocks) {
  const ValveRequest request = dosing_.request().open ? dosing_.request() : service_.request();
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
  if (!has_recipe_) {
    admission_.begin(inputs_.high(Channel::kContainerSensor));
    rejects_.begin(belt_.position(now), recipe_);
  }
  has_recipe_ = true;
  dosing_.see(belt_.speed(now), recipe_);
  seamer_.clear();
  service_.forget_tests();  // the next one may have no test shot at all
  queue_.flag_all();        // a container between two recipes is not surely right
}

/// At one instant the safest event has the last word.
void DoseController::run_modes(Instant now, const Interlocks& interlocks) {
  const Mode before = mode_;
  const bool valve_seen_open = recipe_.guard.feedback_max > 0_us && interlocks.valve_feedback;
  // A fault of this very instant is not yet shown, so it is not reset either.
  const bool shown = mode_ == Mode::kAborted || present_fault(now) == Fault::kNone;
  const bool causes_gone =
      shown && interlocks.healthy() && !valve_seen_open && gate_fault() == Fault::kNone;
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
  if (in_use(mode_) && gate_fault() != Fault::kNone) return gate_fault();
  const bool warm = mode_ == Mode::kStarting && start_.too_long(now, recipe_.start);
  return warm ? Fault::kCoolDownTooLong : Fault::kNone;
}

/// A gate that cannot remove a container is no gate.
Fault DoseController::gate_fault() const {
  if (!recipe_.gate_signals) return Fault::kNone;
  if (!inputs_.high(Channel::kGateAir)) return Fault::kGateAirLow;
  return inputs_.high(Channel::kRejectBinFull) ? Fault::kRejectBinFull : Fault::kNone;
}

Fault DoseController::track_fault() const {
  if (lost_track_ || rejects_.overflowed()) return Fault::kContainerQueueFull;
  if (check_.fault() != Fault::kNone) return check_.fault();
  return rejects_.unconfirmed() > recipe_.unconfirmed_max ? Fault::kRejectUnconfirmed
                                                          : Fault::kNone;
}

void DoseController::abort(Instant now, Fault fault) {
  if (mode_ == Mode::kAborted) return;
  fault_ = fault;
  mode_ = next_mode(mode_, ModeEvent::kFault);
  dosing_.end(now, queue_, counters_);
  service_.cut(now, counters_);
  if (lost_place(fault)) rejects_.reject_all();
}

void DoseController::reset_faults() {
  if (fault_ == Fault::kContainerQueueFull || lost_place(fault_)) {
    queue_.clear();
    groups_.clear();
    rejects_.clear();
    check_.clear();
    lost_track_ = false;
  }
  if (fault_ == Fault::kRejectUnconfirmed) rejects_.forget_unconfirmed();
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
  const LineState line{inputs_.high(Channel::kRunPermit), inputs_.high(Channel::kFillerRunning),
                       may_dose(mode_)};
  const bool sensor = inputs_.high(Channel::kContainerSensor);
  const Sighting sighting = admission_.settle(moment, sensor, counters_);
  check_.on_sighting(sighting, moment, line, queue_, counters_);
  if (sighting == Sighting::kContainer) {
    const Length edge = admission_.leading_edge();
    admit(moment, edge, check_.on_container(moment, line, edge, queue_, counters_));
  } else if (sighting == Sighting::kImplausibleWidth) {
    queue_.flag_newest(1);
    admit_row(moment);
  }
  check_.watch(moment, line, sensor);
  if (inputs_.changed(Channel::kRunPermit) || inputs_.changed(Channel::kSeamerRunning)) {
    seamer_.interrupt();
  }
  if (inputs_.rose(Channel::kDischargeSensor)) {
    seamer_.on_discharge(moment, queue_);
    rejects_.on_discharge(moment, queue_, counters_);
  }
  if (inputs_.rose(Channel::kRejectConfirmed)) rejects_.on_confirmed();
}

void DoseController::admit(const Moment& moment, Length leading_edge, bool sure) {
  if (queue_.full()) {
    lost_track_ = true;
    return;
  }
  const Place place = groups_.place_of(leading_edge, moment.recipe, counters_);
  queue_.flag_newest(static_cast<std::size_t>(place.short_group));
  queue_.admit({.centre = leading_edge + moment.recipe.edge_to_centre,
                .place = place.number,
                .flagged = !sure || !place.sure,
                .seen = admission_.leading_edge_at()});
}

/// Containers that touch show no gap: those behind the first are followed too, none of them dosed.
void DoseController::admit_row(const Moment& moment) {
  const int row = admission_.in_a_row(moment.recipe);
  for (int i = 1; i < row; ++i) {
    admit(moment, admission_.leading_edge_in_row(moment.recipe, i), false);
  }
}

/// The next belt position at which anything but a shot happens.
Length DoseController::next_position() const {
  const Length gate = rejects_.next_position(belt_, recipe_, queue_);
  return gate < check_.next_position() ? gate : check_.next_position();
}

Instant DoseController::next_timer(Instant now) const {
  if (!has_recipe_) return kNever;
  const Instant sensor_or_shot = earlier(admission_.due(recipe_), dosing_.due());
  const Instant belt = belt_.time_of(next_position());
  const Instant watched = earlier(check_.due(), rejects_.due());
  const Instant guarded = earlier(guard_.due(), head_due(now));
  return earlier(earlier(sensor_or_shot, guarded), earlier(belt, watched));
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
