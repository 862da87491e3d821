#include "harness/audit/core_run.hpp"

#include <algorithm>
#include <cmath>

namespace rimebench {

namespace {

constexpr std::size_t kInputsAGrant = 256;
constexpr std::size_t kContext = 12;
constexpr Duration kStep{10'000};
constexpr Instant kPower{1'000};
/// From power-up to the capture's first instant: the made-up start lies in between.
constexpr Duration kBefore{100'000};

constexpr Channel kInterlocks[] = {Channel::kSafetyChain,   Channel::kSupplyReady,
                                   Channel::kFillerRunning, Channel::kSeamerRunning,
                                   Channel::kGateAir,       Channel::kLinkAlive};

/// Parameters that watch a wire; without it they would only find fault.
struct Watching {
  Channel wire;
  Parameter parameter;
};
constexpr Watching kWatching[] = {
    {Channel::kValveFeedback, Parameter::kValveFeedbackUsMax},
    {Channel::kValveFeedback, Parameter::kValveSlowUs},
    {Channel::kRejectConfirmed, Parameter::kRejectConfirmUsMax},
    {Channel::kGateAir, Parameter::kGateSignals},
    {Channel::kBodyTemperature, Parameter::kBodyTemperatureMkMax},
    {Channel::kSupplyLevel, Parameter::kSupplyLevelUmMin},
    {Channel::kRoomOxygen, Parameter::kRoomOxygenPpmMin},
};
/// The line was cold and tested before the capture began, unless it shows the start.
constexpr Parameter kStartUp[] = {Parameter::kPurgeUs, Parameter::kCoolDownUsMax,
                                  Parameter::kTestShotsAtStart};

RecipeValues recipe_for(const CapturedLine& line, RecipeValues recipe, AssumedStart& start) {
  const auto leave_out = [&](Parameter parameter) {
    if (recipe.get(parameter) == 0) return;
    recipe.set(parameter, 0);
    start.left_out.push_back(parameter);
  };
  if (!line.rises(Channel::kOperatorStart)) {
    for (const Parameter parameter : kStartUp) leave_out(parameter);
  }
  for (const Watching& row : kWatching) {
    if (!line.has(row.wire)) leave_out(row.parameter);
  }
  for (const Parameter parameter : start.left_out) {
    start.no_samples = start.no_samples || parameter == Parameter::kBodyTemperatureMkMax ||
                       parameter == Parameter::kSupplyLevelUmMin;
  }
  if (!line.has(Channel::kSupplyPressure) && recipe.get(Parameter::kHeadCurvePpm) != 0) {
    for (int i = 0; i < kCurvePoints; ++i) {
      recipe.set_slot(slot(Parameter::kHeadCurvePa, i), 0);
      recipe.set_slot(slot(Parameter::kHeadCurvePpm, i), 0);
    }
    start.left_out.push_back(Parameter::kHeadCurvePa);
    start.no_samples = true;
  }
  return recipe;
}

void put_recipe(const RecipeValues& recipe, Instant at, std::vector<SignalChange>& inputs) {
  for (int index = 0; index < kParameterSlots; ++index) {
    const std::int32_t value = recipe.at_slot(index);
    if (value != 0) inputs.push_back({at, recipe_channel(index), value});
  }
  inputs.push_back({at, Channel::kRecipeCommit, recipe.commit_value()});
}

/// A start button that is not captured was pressed some time after the reset.
void press_start(const CapturedLine& line, Duration shift, std::vector<SignalChange>& inputs) {
  if (line.rises(Channel::kOperatorStart)) return;
  for (const SignalChange& reset : changes_of(line, Channel::kOperatorReset)) {
    if (reset.value != 0 || reset.at <= line.begin) continue;
    const Instant at = reset.at + shift + kStep;
    inputs.push_back({at, Channel::kOperatorStart, 1});
    inputs.push_back({at + kStep, Channel::kOperatorStart, 0});
  }
  std::stable_sort(inputs.begin(), inputs.end(), canonical_before);
}

/// Everything that goes in: the start, then the capture after it.
std::vector<SignalChange> inputs_of(const CapturedLine& line, const AssumedStart& start) {
  std::vector<SignalChange> inputs = start.inputs;
  const bool assumed = !start.inputs.empty();
  for (SignalChange change : line.changes) {
    if (class_of(change.channel) != ChannelClass::kToController) continue;
    // The first levels came with the power.
    if (assumed && change.at <= line.begin) continue;
    change.at = change.at + start.shift;
    inputs.push_back(change);
  }
  if (assumed) press_start(line, start.shift, inputs);
  return inputs;
}

void take_outputs(const Reached& reached, CoreRun& run) {
  for (SignalChange change : reached.outputs) {
    const Instant at = change.at;
    change.at = at - run.start.shift;
    const auto at_us = static_cast<double>(change.at.us);
    if (change.channel == Channel::kMode &&
        change.value == static_cast<std::int32_t>(Mode::kExecute) && !run.ran_at_us) {
      run.ran_at_us = at_us;
    }
    if (change.channel == Channel::kAlarm && change.value != 0 && run.fault == Fault::kNone) {
      run.fault = static_cast<Fault>(change.value);
      run.fault_us = at_us;
    }
    run.outputs.wires.insert(change.channel);
    run.outputs.changes.push_back(change);
  }
}

}  // namespace

AssumedStart assume_start(const CapturedLine& line, const RecipeValues& recipe) {
  AssumedStart start;
  start.before = kBefore;
  start.shift = Instant{kBefore.raw} - line.begin;
  const RecipeValues loaded = recipe_for(line, recipe, start);
  for (const Channel channel : kInterlocks) {
    if (!line.has(channel)) start.given.push_back(channel);
  }
  const auto power = [&](Channel channel, std::int32_t value) {
    if (value != 0) start.inputs.push_back({kPower, channel, value});
  };
  for (std::uint16_t i = 1; i < number(Channel::kRecipeFirst); ++i) {
    const auto channel = static_cast<Channel>(i);
    const bool given =
        std::find(start.given.begin(), start.given.end(), channel) != start.given.end();
    power(channel, given ? 1 : line.first_level(channel));
  }
  Instant at = kPower + kStep;
  put_recipe(loaded, at, start.inputs);
  for (const Channel button : {Channel::kOperatorReset, Channel::kOperatorStart}) {
    at = at + kStep;
    if (line.rises(button)) continue;
    start.inputs.push_back({at, button, 1});
    at = at + kStep;
    start.inputs.push_back({at, button, 0});
  }
  if (!line.has(Channel::kRunPermit)) {
    start.given.push_back(Channel::kRunPermit);
    start.inputs.push_back({at + kStep, Channel::kRunPermit, 1});
  }
  return start;
}

CoreRun run_core(const CapturedLine& line, const RecipeValues& recipe, Node& node) {
  CoreRun run;
  run.own_start = line.has_own_start();
  if (!run.own_start) run.start = assume_start(line, recipe);
  const std::vector<SignalChange> inputs = inputs_of(line, run.start);
  const Instant end = line.end + run.start.shift + Duration{1};
  for (std::size_t from = 0; from < inputs.size();) {
    std::size_t to = std::min(from + kInputsAGrant, inputs.size());
    while (to < inputs.size() && inputs[to].at == inputs[to - 1].at) ++to;
    const Instant until = to < inputs.size() ? inputs[to].at : later(end, inputs.back().at + 1_us);
    take_outputs(node.exchange({until, kNoFeedback, std::span(inputs).subspan(from, to - from)}),
                 run);
    from = to;
  }
  run.outputs.end = line.end;
  return run;
}

void CoreComparer::compare(Channel channel, double from_us) {
  const auto from_there = [&](const CapturedLine& line) {
    std::vector<SignalChange> changes = changes_of(line, channel);
    std::erase_if(changes, [&](const SignalChange& change) {
      return static_cast<double>(change.at.us) < from_us || change.at > line_.end;
    });
    return changes;
  };
  const std::vector<SignalChange> captured = from_there(line_);
  const std::vector<SignalChange> core = from_there(run_.outputs);
  ChannelComparison row;
  row.channel = channel;
  row.captured = static_cast<std::int64_t>(captured.size());
  std::vector<double> later;
  std::size_t c = 0, k = 0;
  while (c < captured.size() || k < core.size()) {
    const bool both = c < captured.size() && k < core.size();
    const double off = both ? static_cast<double>((captured[c].at - core[k].at).raw) : 0.0;
    if (both && std::abs(off) <= result_.within_us && captured[c].value == core[k].value) {
      ++row.agreed;
      later.push_back(off);
      ++c;
      ++k;
    } else if (k == core.size() || (both && captured[c].at <= core[k].at)) {
      differ(captured[c++], std::nullopt);
    } else {
      // An edge so near the end that the capture may have missed its counterpart tells nothing.
      const auto left = static_cast<double>((line_.end - core[k].at).raw);
      if (left > result_.within_us) {
        ++row.only_core;
        differ(std::nullopt, core[k]);
      }
      ++k;
    }
  }
  row.later_us = measure(later, 1.0);
  result_.channels.push_back(row);
}

void CoreComparer::differ(const std::optional<SignalChange>& captured,
                          const std::optional<SignalChange>& core) {
  const auto time_of = [](const ReplayDifference& d) {
    return d.recorded ? d.recorded->at : d.replayed->at;
  };
  ReplayDifference difference{captured, core, {}};
  if (!result_.first || time_of(difference) < time_of(*result_.first)) result_.first = difference;
}

CoreComparison CoreComparer::finish(double from_us) {
  result_.from_us = from_us;
  if (!result_.first) return result_;
  ReplayDifference& first = *result_.first;
  const Instant at = first.recorded ? first.recorded->at : first.replayed->at;
  for (const SignalChange& change : line_.changes) {
    if (change.at > at) break;
    if (class_of(change.channel) == ChannelClass::kWitness) continue;
    if (first.before.size() == kContext) first.before.erase(first.before.begin());
    first.before.push_back(change);
  }
  return result_;
}

}  // namespace rimebench
