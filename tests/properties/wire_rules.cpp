#include "tests/properties/wire_rules.hpp"

#include <algorithm>

#include "firmware_sim/contract/parameter_table.hpp"

namespace rimebench::properties {
namespace {

bool in_every_range(const RecipeValues& values) {
  int index = 0;
  for (const ParameterRow& row : kParameterTable) {
    for (int entry = 0; entry < row.entries; ++entry, ++index) {
      const std::int32_t value = values.at_slot(index);
      if (value < row.min || value > row.max) return false;
    }
  }
  return true;
}

bool clears_line(Fault fault) {
  return fault == Fault::kPulseLost || fault == Fault::kPulseImplausible ||
         fault == Fault::kSensorStuckHigh || fault == Fault::kSensorStuckLow ||
         fault == Fault::kContainerQueueFull;
}

}  // namespace

void WireRules::operator()(Instant now, std::span<const SignalChange> inputs,
                           std::span<const SignalChange> outputs) {
  if (open_since_) {
    must(now - *open_since_ <= Duration{open_limit_us_}, now.us,
         "the valve was commanded open longer than its limit");
    const std::int64_t budget_us = value(Parameter::kOpenBudgetUs);
    must(budget_us == 0 || budget_used_us_ + (now - *open_since_).raw <= budget_us, now.us,
         "open beyond the second guard's account");
  }
  committed_now_ = false;
  believed_now_ = 0;
  mode_before_ = static_cast<Mode>(level(Channel::kMode));
  check_form(now, outputs);
  // The recipe first: what is done at this instant is done with it. Then the belt.
  for (const SignalChange& input : inputs) take_recipe(input);
  for (const SignalChange& output : outputs) {
    if (output.channel == Channel::kRecipeState) check_recipe(now, output.value);
  }
  if (committed_now_) check_recipe(now, level(Channel::kRecipeState));
  for (const SignalChange& input : inputs) {
    if (input.channel == Channel::kLinePulse) belt_.on_pulse(now);
  }
  for (const SignalChange& input : inputs) take(now, input);
  believe_sensor(now);
  stream_.settle(now, recipe_, belt_, on_belt_);
  cooled_now_ = stream_now_ = false;
  executes_now_ = mode_before_ == Mode::kExecute;  // at the end of this instant
  for (const SignalChange& output : outputs) {
    if (output.channel == Channel::kMode) {
      executes_now_ = output.value == static_cast<int>(Mode::kExecute);
    }
    cooled_now_ = cooled_now_ || output.channel == counter_channel(Counter::kCoolDownShot);
    stream_now_ = stream_now_ || output.channel == counter_channel(Counter::kStreamBegun);
  }
  for (const SignalChange& output : outputs) check_change(now, output);
  check_state(now);
  const std::int64_t gone_um = value(Parameter::kSensorToNozzleUm) + 1'000'000;
  while (!on_belt_.empty() && on_belt_.front().most_um + gone_um < belt_.least_um(now)) {
    on_belt_.pop_front();
  }
}

void WireRules::take_recipe(const SignalChange& input) {
  if (input.channel < Channel::kRecipeFirst) return;
  const std::int32_t last = level(input.channel);
  level_[input.channel] = input.value;
  if (input.channel == Channel::kRecipeCommit) {
    committed_now_ = input.value != 0 && input.value != last;
    return;
  }
  const int slot = number(input.channel) - number(Channel::kRecipeFirst);
  if (slot < kParameterSlots) staged_.set_slot(slot, input.value);
}

void WireRules::take(Instant now, const SignalChange& input) {
  if (input.channel >= Channel::kRecipeFirst) return;
  level_[input.channel] = input.value;
  if (input.value != 0) rose_at_[input.channel] = now;
  if (input.channel == Channel::kOperatorReset && input.value != 0) budget_used_us_ = 0;
  if (input.channel == Channel::kOperatorTestShots && input.value > 0) test_asked_ = true;
  if (input.channel == Channel::kRunPermit) belt_.on_permit(now, input.value != 0);
  if (input.channel == Channel::kContainerSensor) sensor(now, input.value != 0);
}

void WireRules::sensor(Instant now, bool high) {
  believe_sensor(now);  // what has held just long enough counts even if it ends now
  raw_high_ = high;
  raw_since_ = now;
  const std::int64_t latency_um =
      value(Parameter::kSensorLatencyUs) * belt_.speed_um_per_s(now) / 1'000'000 + 1;
  raw_edge_ = {belt_.least_um(now) - latency_um, belt_.most_um(now)};
}

/// A level counts once it has held for the debounce.
void WireRules::believe_sensor(Instant now) {
  if (!has_recipe_ || raw_high_ == believed_high_) return;
  if (now < raw_since_ + Duration{value(Parameter::kDebounceUs)}) return;
  believed_high_ = raw_high_;
  if (!believed_high_) return;
  edges_.push_back(raw_edge_);
  on_belt_.push_back(raw_edge_);
  ++believed_now_;
}

/// Who resets a fault after which nobody knows what stands where has cleared the line.
void WireRules::clear_line() {
  while (edges_.size() > believed_now_) edges_.pop_front();
  while (on_belt_.size() > believed_now_) on_belt_.pop_front();
}

void WireRules::check_form(Instant now, std::span<const SignalChange> outputs) const {
  for (std::size_t i = 0; i < outputs.size(); ++i) {
    must(outputs[i].at == now, now.us, "an output is not stamped with its instant");
    must(class_of(outputs[i].channel) == ChannelClass::kFromController, now.us, "not an output");
    must(i == 0 || outputs[i - 1].channel < outputs[i].channel, now.us,
         "outputs are not in channel order");
    must(level(outputs[i].channel) != outputs[i].value, now.us, "an output that is no change");
  }
}

void WireRules::check_change(Instant now, const SignalChange& output) {
  const std::int32_t before = level(output.channel);
  level_[output.channel] = output.value;
  if (output.channel == Channel::kValve) {
    check_valve(now, output.value != 0);
  } else if (output.channel == Channel::kReject) {
    if (output.value != 0) ++seen_.rejects;
  } else if (output.channel == Channel::kAlarm) {
    if (output.value == 0 && clears_line(static_cast<Fault>(before))) clear_line();
    check_alarm(now, static_cast<Fault>(output.value));
    ++seen_.faults[static_cast<std::size_t>(output.value)];
  } else if (output.channel == Channel::kMode) {
    check_mode(now, static_cast<Mode>(before), static_cast<Mode>(output.value));
    ++seen_.modes[static_cast<std::size_t>(output.value)];
  } else if (output.channel >= Channel::kCounterFirst) {
    check_counter(now, output, before);
  }
}

void WireRules::check_counter(Instant now, const SignalChange& output, std::int32_t before) {
  must(output.value > before, now.us, "a counter fell");
  const auto index =
      static_cast<std::size_t>(number(output.channel)) - number(Channel::kCounterFirst);
  must(index < seen_.counters.size(), now.us, "a counter that does not exist");
  seen_.counters[index] += output.value - before;
}

void WireRules::check_recipe(Instant now, std::int32_t state) {
  level_[Channel::kRecipeState] = state;
  must(committed_now_, now.us, "a recipe state without a commit");
  committed_now_ = false;
  const bool stands = mode_before_ == Mode::kStopped || mode_before_ == Mode::kIdle;
  const bool whole = level(Channel::kRecipeCommit) == staged_.commit_value();
  must((state == kRecipeRefusedRunning) == !stands, now.us,
       "a recipe taken while running, or refused while standing");
  if (state == kRecipeRefusedRunning) return;
  must((state == kRecipeRefusedChecksum) == !whole, now.us, "a recipe's checksum misjudged");
  if (state != kRecipeAccepted) return;
  must(in_every_range(staged_), now.us, "a recipe accepted with a value out of its range");
  ++seen_.recipes;
  recipe_ = staged_;
  belt_.configure(now, recipe_, level(Channel::kRunPermit) != 0);
  if (!has_recipe_) believed_high_ = raw_high_ = level(Channel::kContainerSensor) != 0;
  has_recipe_ = true;
  on_belt_.clear();
  edges_.clear();  // containers between two recipes are never dosed
}

void WireRules::check_alarm(Instant now, Fault fault) const {
  const auto low = [&](Channel channel) { return level(channel) == 0; };
  const bool feedback = value(Parameter::kValveFeedbackUsMax) > 0;
  must(fault != Fault::kSafetyChainLost || low(Channel::kSafetyChain), now.us, "chain is closed");
  must(fault != Fault::kLinkLost || low(Channel::kLinkAlive), now.us, "link is alive");
  must(fault != Fault::kSupplyLost || low(Channel::kSupplyReady), now.us, "supply is ready");
  must(fault != Fault::kValveStuckOpen || (feedback && !low(Channel::kValveFeedback)), now.us,
       "stuck open, but no feedback says so");
  must(fault != Fault::kValveStuckClosed || (feedback && low(Channel::kValveFeedback)), now.us,
       "stuck closed, but the feedback shows it open");
  must(fault != Fault::kOpenTooLong && fault != Fault::kOpenWithoutContainer, now.us,
       "the guard had to catch the dosing logic");
}

void WireRules::check_valve(Instant now, bool opens) {
  check_budget(now, opens);
  if (!opens) {
    stream_.end();
    open_since_.reset();
    closed_at_ = now;
    return;
  }
  open_since_ = now;
  must(has_recipe_, now.us, "opened without a recipe");
  must(!closed_at_ || now - *closed_at_ >= Duration{value(Parameter::kRestUsMin)}, now.us,
       "opened before the valve had rested");
  for_container_ = !cooled_now_ && executes_now_;
  if (!for_container_) return check_service_shot(now, cooled_now_);
  ++openings_;
  ++seen_.openings;
  open_limit_us_ = value(stream_now_ ? Parameter::kStreamUsMax : Parameter::kOpenUsMax);
  std::int64_t lead_um = shot_lead_um(now);
  if (stream_now_) {
    ++seen_.streams;
    lead_um = stream_.begin(now, recipe_, belt_, on_belt_);
  }
  check_names_container(now, lead_um);
}

/// What doses no container is a cool-down shot, counted as it opens, or a test shot asked for.
void WireRules::check_service_shot(Instant now, bool cool_down) {
  ++seen_.service_shots;
  open_limit_us_ = value(cool_down ? Parameter::kCoolDownOpenUs : Parameter::kTestOpenUs);
  must(open_limit_us_ > 0, now.us, "a shot without a container that the recipe does not have");
  must(cool_down || value(Parameter::kTestShotsAtStart) > 0 || test_asked_, now.us,
       "a test shot that nobody asked for");
  check_nozzle_clear(now);
}

/// No container stands surely under the nozzle. Where edges may be doubled or containers leave the
/// belt's count, the wires do not tell.
void WireRules::check_nozzle_clear(Instant now) const {
  if (value(Parameter::kPitchMinUm) > 0 || value(Parameter::kTransport) != 0) return;
  const std::int64_t ahead_um =
      value(Parameter::kSensorToNozzleUm) + value(Parameter::kEdgeToCentreUm);
  const std::int64_t half_um = value(Parameter::kEdgeToCentreUm);
  for (const SeenEdge& edge : on_belt_) {
    const std::int64_t least = edge.least_um + ahead_um - belt_.most_um(now);
    const std::int64_t most = edge.most_um + ahead_um - belt_.least_um(now);
    must(least < -half_um || most > half_um, now.us, "a service shot onto a container");
  }
}

/// The account of open time: what is spent and not yet given back never exceeds the budget.
void WireRules::check_budget(Instant now, bool opens) {
  const std::int64_t us = (now - budget_since_).raw;
  budget_since_ = now;
  if (opens) {
    const std::int64_t share = value(Parameter::kOpenSharePpm);
    const std::int64_t day_us = 86'400'000'000;
    budget_used_us_ -=
        std::min<std::int64_t>(budget_used_us_, std::min(us, day_us) * share / 1'000'000);
    return;
  }
  budget_used_us_ += us;
  const std::int64_t most = value(Parameter::kOpenBudgetUs);
  must(most == 0 || budget_used_us_ <= most, now.us, "open longer than the budget of open time");
}

/// The farthest a container's centre may be when its own shot opens.
std::int64_t WireRules::shot_lead_um(Instant now) const {
  const std::int64_t lead_us = value(Parameter::kFlightUs) + (value(Parameter::kValveOpenDelayUs) +
                                                              value(Parameter::kValveCloseDelayUs) +
                                                              value(Parameter::kOpenUsMax)) /
                                                                 2;
  return lead_us * belt_.speed_um_per_s(now) / 1'000'000 + 2;
}

/// The opening must belong to the oldest container that is neither past nor too far away, and no
/// container older than one already dosed can be meant any more.
void WireRules::check_names_container(Instant now, std::int64_t lead_um) {
  const std::int64_t ahead_um =
      value(Parameter::kSensorToNozzleUm) + value(Parameter::kEdgeToCentreUm);
  while (!edges_.empty()) {
    const SeenEdge edge = edges_.front();
    edges_.pop_front();
    // Distance of the centre before the nozzle, as little and as much as it can be.
    const std::int64_t least = edge.least_um + ahead_um - belt_.most_um(now);
    const std::int64_t most = edge.most_um + ahead_um - belt_.least_um(now);
    if (most < -value(Parameter::kLandingLateMaxUm)) continue;  // gone by undosed
    must(least <= lead_um, now.us, "opened for a container farther away than its lead");
    return;
  }
  must(false, now.us, "opened for no container, or twice for one");
}

void WireRules::check_state(Instant now) const {
  const auto mode = static_cast<Mode>(level(Channel::kMode));
  const bool aborted = mode == Mode::kAborted;
  must((level(Channel::kAlarm) != 0) == aborted, now.us, "alarm and Aborted do not go together");
  must(level(Channel::kLinePermit) == (aborted ? 0 : 1), now.us, "line permit and Aborted");
  const bool runs = mode == Mode::kSuspended || mode == Mode::kExecute;
  const bool in_use = runs || mode == Mode::kIdle || mode == Mode::kStarting;
  const bool liquid = level(Channel::kSupplyIsolation) != 0;
  must(in_use || !liquid, now.us, "liquid let in while at rest");
  must(!runs || liquid, now.us, "no liquid while running");
  must(mode != Mode::kIdle || liquid == !brings_up(), now.us, "liquid before the head is dry");
  for (const Channel wire : {Channel::kSafetyChain, Channel::kLinkAlive}) {
    must(!in_use || level(wire) != 0, now.us, "in use without chain or link");
  }
  const bool needs_supply = runs || (in_use && !brings_up());
  must(!needs_supply || level(Channel::kSupplyReady) != 0, now.us, "in use without supply");
  const std::int64_t oxygen = value(Parameter::kRoomOxygenPpmMin);
  must(!in_use || oxygen == 0 || level(Channel::kRoomOxygen) >= oxygen, now.us,
       "in use with too little oxygen in the room");
  must(mode != Mode::kExecute || level(Channel::kRunPermit) != 0, now.us, "runs without permit");
  if (level(Channel::kValve) == 0) return;
  must(in_use, now.us, "the valve is open while at rest");
  for (const Channel wire : {Channel::kRunPermit, Channel::kSafetyChain, Channel::kLinkAlive}) {
    must(!stream_.open() || level(wire) != 0, now.us, "a stream without permit, chain or link");
  }
  must(!for_container_ || mode == Mode::kExecute, now.us, "a container dosed outside Execute");
}

void WireRules::check_mode(Instant now, Mode before, Mode after) const {
  const auto pressed = [&](Channel button) {
    const auto found = rose_at_.find(button);
    return found != rose_at_.end() && found->second == now;
  };
  must(after != Mode::kIdle || (before == Mode::kStopped && pressed(Channel::kOperatorReset)),
       now.us, "Idle is reached from Stopped by reset alone");
  must(after != Mode::kStopped || pressed(Channel::kOperatorStop) ||
           (before == Mode::kAborted && pressed(Channel::kOperatorReset)),
       now.us, "Stopped is reached by stop, or from Aborted by reset alone");
  const bool starts =
      after == Mode::kStarting || after == Mode::kSuspended || after == Mode::kExecute;
  const bool going =
      before == Mode::kStarting || before == Mode::kSuspended || before == Mode::kExecute;
  must(!starts || going || pressed(Channel::kOperatorStart), now.us, "started without start");
  must(before != Mode::kAborted || after == Mode::kStopped || after == Mode::kIdle, now.us,
       "Aborted is left by reset alone");
}

}  // namespace rimebench::properties
