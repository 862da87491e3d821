#pragma once

/// A hand-made line for the controller's tests: a recipe to start from, scripts of signal changes,
/// and a belt on rails at constant speed.

#include <algorithm>
#include <cstdint>
#include <string>
#include <vector>

#include "firmware_sim/contract/parameter_table.hpp"
#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/core/grant.hpp"

namespace rimebench::rails {

using Changes = std::vector<SignalChange>;

/// A rotary line: one pulse every 6 mm; at 600 mm/s that is one every 10 000 us, and the belt has
/// travelled exactly 0.6 um a microsecond since the run began.
/// A shot of 200 mg opens the valve for 20 000 us and leads its landing by
/// 20 000 + (4 000 + 20 000 + 6 000) / 2 = 35 000 us.
inline RecipeValues rotary_recipe() {
  RecipeValues recipe;
  for (const ParameterRow& row : kParameterTable) {
    if (row.default_value != kRequired && row.entries == 1) {
      recipe.set(row.parameter, row.default_value);
    }
  }
  recipe.set(Parameter::kLinePulsePitchUm, 6'000);
  recipe.set(Parameter::kSensorToNozzleUm, 300'000);
  recipe.set(Parameter::kNozzleToSeamUm, 600'000);
  recipe.set(Parameter::kEdgeToCentreUm, 33'000);
  recipe.set(Parameter::kSensorLatencyUs, 500);
  recipe.set(Parameter::kDebounceUs, 2'000);
  recipe.set(Parameter::kContainerWidthMinUm, 30'000);
  recipe.set(Parameter::kContainerWidthMaxUm, 100'000);
  recipe.set(Parameter::kPitchMinUm, 50'000);
  recipe.set(Parameter::kValveOpenDelayUs, 4'000);
  recipe.set(Parameter::kValveCloseDelayUs, 6'000);
  recipe.set(Parameter::kFlightUs, 20'000);
  recipe.set_slot(slot(Parameter::kOpenCurveUg, 0), 100'000);
  recipe.set_slot(slot(Parameter::kOpenCurveUg, 1), 500'000);
  recipe.set_slot(slot(Parameter::kOpenCurveUs, 0), 10'000);
  recipe.set_slot(slot(Parameter::kOpenCurveUs, 1), 50'000);
  recipe.set(Parameter::kDoseUg, 200'000);
  recipe.set(Parameter::kWaitSource, static_cast<std::int32_t>(WaitSource::kBeltSpeed));
  recipe.set(Parameter::kWaitErrorMaxUs, 50'000);
  recipe.set(Parameter::kSensorToGateUm, 1'500'000);
  return recipe;
}

/// A queued line: expected wait 2 s, the gate 600 mm behind the discharge sensor, the seam 100 ms
/// before it.
inline RecipeValues queued_recipe() {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kTransport, static_cast<int>(Transport::kQueued));
  recipe.set(Parameter::kWaitSource, static_cast<int>(WaitSource::kFixed));
  recipe.set(Parameter::kWaitFixedUs, 2'000'000);
  recipe.set(Parameter::kDischargeToGateUm, 600'000);
  recipe.set(Parameter::kSeamToDischargeUs, 100'000);
  return recipe;
}

/// The same, its wait held to within 400 ms. A container whose edge passes at t lands at t + 555
/// 000 and is discharged at t + 2 655 000; its centre is at the gate 1 055 000 us later.
inline RecipeValues counted_recipe() {
  RecipeValues recipe = queued_recipe();
  recipe.set(Parameter::kWaitErrorMaxUs, 400'000);
  recipe.set(Parameter::kNozzleToSeamUm, 300'000);
  return recipe;
}

/// Collects inputs in any order; changes() gives them in canonical order.
class Script {
 public:
  Script& set(std::int64_t at_us, Channel channel, std::int32_t value) {
    changes_.push_back({Instant{at_us}, channel, value});
    return *this;
  }
  /// High for this long.
  Script& pulse(std::int64_t at_us, Channel channel, std::int64_t for_us) {
    return set(at_us, channel, 1).set(at_us + for_us, channel, 0);
  }
  Script& recipe(std::int64_t at_us, const RecipeValues& values) {
    for (int index = 0; index < kParameterSlots; ++index) {
      if (values.at_slot(index) != 0) set(at_us, recipe_channel(index), values.at_slot(index));
    }
    return set(at_us, Channel::kRecipeCommit, values.commit_value());
  }
  /// Healthy inputs and the recipe at 1 000 us, reset at 2 000, permit and start at 3 000.
  Script& started(const RecipeValues& values) {
    set(1'000, Channel::kSafetyChain, 1);
    set(1'000, Channel::kSupplyReady, 1);
    set(1'000, Channel::kLinkAlive, 1);
    recipe(1'000, values);
    pulse(2'000, Channel::kOperatorReset, 500);
    set(3'000, Channel::kRunPermit, 1);
    return pulse(3'000, Channel::kOperatorStart, 500);
  }
  /// A line pulse every `period_us` from `from_us` on (the first one period later) to `to_us`.
  Script& belt(std::int64_t from_us, std::int64_t to_us, std::int64_t period_us) {
    for (std::int64_t at = from_us + period_us; at <= to_us; at += period_us) {
      pulse_level_ = 1 - pulse_level_;
      set(at, Channel::kLinePulse, pulse_level_);
    }
    return *this;
  }
  /// A container 66 mm wide at 600 mm/s whose leading edge passes the sensor now; the sensor is
  /// 500 us late. Its shot is due 520 000 us later: 333 mm at 0.6 um/us less the lead of 35 000.
  Script& container(std::int64_t edge_us) {
    return pulse(edge_us + 500, Channel::kContainerSensor, 110'000);
  }

  Changes changes() const {
    Changes sorted = changes_;
    std::stable_sort(sorted.begin(), sorted.end(), canonical_before);
    return sorted;
  }

 private:
  Changes changes_;
  std::int32_t pulse_level_ = 0;
};

/// Plays a script in one grant; returns every output change.
inline Changes play(const Script& script, std::int64_t until_us) {
  DoseController controller;
  Changes outputs;
  const Changes inputs = script.changes();
  run_grant(controller, inputs, Instant{until_us}, kNoFeedback,
            [&](SignalChange change) { outputs.push_back(change); });
  return outputs;
}

/// What one output did, as "at=value at=value".
inline std::string history(const Changes& outputs, Channel channel) {
  std::string text;
  for (const SignalChange& change : outputs) {
    if (change.channel != channel) continue;
    if (!text.empty()) text += ' ';
    text += std::to_string(change.at.us) + '=' + std::to_string(change.value);
  }
  return text;
}
inline std::string history(const Changes& outputs, Counter counter) {
  return history(outputs, counter_channel(counter));
}
/// What the gate did once it first came back: a controller that comes up takes all that is on the
/// line already for bad.
inline std::string gate_history(const Changes& outputs) {
  const std::string text = history(outputs, Channel::kReject);
  const std::size_t back = text.find("=0");
  return back == std::string::npos || text.size() < back + 3 ? "" : text.substr(back + 3);
}

}  // namespace rimebench::rails
