#include "tests/properties/wire_rules.hpp"

#include <algorithm>

#include "firmware_sim/contract/parameter_table.hpp"

namespace rimebench::properties {
namespace {

constexpr std::int64_t kFastest = 100'000'000;  ///< no belt is believed faster, um/s

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

}  // namespace

void BeltBounds::configure(Instant now, const RecipeValues& recipe, bool permit) {
  const std::int64_t pitch_um = recipe.get(Parameter::kLinePulsePitchUm);
  const std::int64_t line = recipe.get(Parameter::kLineSpeedUmPerS);
  if (pitch_um == pitch_um_ && (pitch_um > 0 || line == line_um_per_s_)) return;
  origin_um_ = least_um(now);
  slack_um_ += std::max(pitch_um, pitch_um_) + 2;
  pitch_um_ = pitch_um;
  line_um_per_s_ = line;
  since_ = now;
  permit_ = permit;
  pulses_ = 0;
  period_us_ = 0;
}

void BeltBounds::on_pulse(Instant now) {
  if (pitch_um_ == 0) return;
  if (++pulses_ > 1) period_us_ = (now - since_).raw;
  origin_um_ += pitch_um_;
  since_ = now;
}

void BeltBounds::on_permit(Instant now, bool permit) {
  if (pitch_um_ > 0) return;
  origin_um_ = least_um(now);
  slack_um_ += 1;
  since_ = now;
  permit_ = permit;
}

std::int64_t BeltBounds::least_um(Instant now) const {
  if (pitch_um_ > 0 || !permit_) return origin_um_;
  const std::int64_t us = (now - since_).raw;
  return origin_um_ + us / 1'000'000 * line_um_per_s_ + us % 1'000'000 * line_um_per_s_ / 1'000'000;
}

std::int64_t BeltBounds::speed_um_per_s(Instant now) const {
  if (pitch_um_ == 0) return permit_ ? line_um_per_s_ : 0;
  if (pulses_ < 2) return 0;
  // Slower than between the last two pulses if the next one is overdue.
  const std::int64_t us = std::max(period_us_, (now - since_).raw);
  return std::min(kFastest, pitch_um_ * 1'000'000 / us + 1);
}

void WireRules::operator()(Instant now, std::span<const SignalChange> inputs,
                           std::span<const SignalChange> outputs) {
  if (open_since_) {
    must(now - *open_since_ <= Duration{value(Parameter::kOpenUsMax)}, now.us,
         "the valve was commanded open longer than open_us_max");
  }
  committed_now_ = false;
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
  if (raw_edge_ && now >= raw_edge_at_ + Duration{value(Parameter::kDebounceUs)}) {
    edges_.push_back(*raw_edge_);
    raw_edge_.reset();
  }
  for (const SignalChange& output : outputs) check_change(now, output);
  check_state(now);
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
  if (input.channel == Channel::kRunPermit) belt_.on_permit(now, input.value != 0);
  if (input.channel == Channel::kContainerSensor) sensor(now, input.value != 0);
}

void WireRules::sensor(Instant now, bool high) {
  const bool held =
      raw_edge_ && now >= raw_edge_at_ + Duration{value(Parameter::kDebounceUs)} && has_recipe_;
  if (held) edges_.push_back(*raw_edge_);
  raw_edge_.reset();
  if (!high) return;
  const std::int64_t latency_um =
      value(Parameter::kSensorLatencyUs) * belt_.speed_um_per_s(now) / 1'000'000 + 1;
  raw_edge_ = Edge{belt_.least_um(now) - latency_um, belt_.most_um(now)};
  raw_edge_at_ = now;
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
  if (!has_recipe_) raw_edge_.reset();
  has_recipe_ = true;
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
  if (!opens) {
    open_since_.reset();
    closed_at_ = now;
    return;
  }
  ++openings_;
  ++seen_.openings;
  open_since_ = now;
  must(has_recipe_, now.us, "opened without a recipe");
  must(!closed_at_ || now - *closed_at_ >= Duration{value(Parameter::kRestUsMin)}, now.us,
       "opened before the valve had rested");
  check_names_container(now);
}

/// The opening must belong to the oldest container that is neither past nor too far away, and no
/// container older than one already dosed can be meant any more.
void WireRules::check_names_container(Instant now) {
  const std::int64_t ahead_um =
      value(Parameter::kSensorToNozzleUm) + value(Parameter::kEdgeToCentreUm);
  const std::int64_t speed = belt_.speed_um_per_s(now);
  const std::int64_t lead_us = value(Parameter::kFlightUs) + (value(Parameter::kValveOpenDelayUs) +
                                                              value(Parameter::kValveCloseDelayUs) +
                                                              value(Parameter::kOpenUsMax)) /
                                                                 2;
  const std::int64_t lead_um = lead_us * speed / 1'000'000 + 2;
  while (!edges_.empty()) {
    const Edge edge = edges_.front();
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
  const bool in_use = mode == Mode::kIdle || mode == Mode::kSuspended || mode == Mode::kExecute;
  must(level(Channel::kSupplyIsolation) == (in_use ? 1 : 0), now.us, "liquid let in while at rest");
  for (const Channel wire : {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kLinkAlive}) {
    must(!in_use || level(wire) != 0, now.us, "in use without chain, supply or link");
  }
  must(mode != Mode::kExecute || level(Channel::kRunPermit) != 0, now.us, "runs without permit");
  if (level(Channel::kValve) == 0) return;
  must(mode == Mode::kExecute, now.us, "the valve is open outside Execute");
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
  const bool started =
      pressed(Channel::kOperatorStart) || before == Mode::kSuspended || before == Mode::kExecute;
  must((after != Mode::kSuspended && after != Mode::kExecute) || started, now.us,
       "started without start");
  must(before != Mode::kAborted || after == Mode::kStopped || after == Mode::kIdle, now.us,
       "Aborted is left by reset alone");
}

}  // namespace rimebench::properties
