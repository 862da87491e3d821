#include "harness/conformance/exercise.hpp"

#include <algorithm>

#include "firmware_sim/contract/parameter_table.hpp"

namespace rimebench {

namespace {

class Script {
 public:
  void set(std::int64_t at_us, Channel channel, std::int32_t value) {
    changes_.push_back({Instant{at_us}, channel, value});
  }
  void pulse(std::int64_t at_us, Channel channel, std::int64_t for_us) {
    set(at_us, channel, 1);
    set(at_us + for_us, channel, 0);
  }
  void add(const Changes& changes) {
    changes_.insert(changes_.end(), changes.begin(), changes.end());
  }
  Changes changes() {
    std::ranges::sort(changes_, canonical_before);
    return changes_;
  }

 private:
  Changes changes_;
};

void power_on(Script& script) {
  script.set(1'000, Channel::kSafetyChain, 1);
  script.set(3'000, Channel::kSupplyReady, 1);
  script.set(5'000, Channel::kFillerRunning, 1);
  script.set(7'000, Channel::kSeamerRunning, 1);
  script.set(9'000, Channel::kGateAir, 1);
  script.set(11'000, Channel::kLinkAlive, 1);
  script.add(recipe_changes(Instant{13'000}, sound_recipe()));
  script.pulse(20'000, Channel::kOperatorReset, 5'000);
  script.pulse(40'000, Channel::kOperatorStart, 5'000);
}

/// 0.6 m/s: a pulse every 6 mm, a container every 100 mm.
void belt_and_containers(Script& script) {
  script.set(50'000, Channel::kRunPermit, 1);
  std::int32_t level = 0;
  for (std::int64_t at = 60'000; at < 4'000'000; at += 10'000) {
    level = 1 - level;
    script.set(at, Channel::kLinePulse, level);
  }
  for (std::int64_t at = 200'300; at < 3'000'000; at += 166'667) {
    script.pulse(at, Channel::kContainerSensor, 110'000);
    script.pulse(at + 2'000'000, Channel::kDischargeSensor, 110'000);
  }
  // A sensor that chatters at one microsecond apart, and one container half as wide.
  for (std::int64_t at = 3'000'000; at < 3'000'040; at += 2) {
    script.pulse(at, Channel::kContainerSensor, 1);
  }
  script.pulse(3'100'000, Channel::kContainerSensor, 20'000);
  script.set(4'000'000, Channel::kRunPermit, 0);
  script.pulse(4'100'000, Channel::kOperatorStop, 5'000);
}

void samples(Script& script) {
  for (std::int32_t i = 1; i < 40; ++i) {
    const std::int64_t at = 100'000 * i + 7;
    script.set(at, Channel::kSupplyLevel, 60'000 - i);
    script.set(at, Channel::kSupplyPressure, 2'000 + i);
    script.set(at, Channel::kBodyTemperature, 77'000 + i);
    script.set(at, Channel::kRoomOxygen, 209'000 - i);
  }
  script.pulse(2'500'000, Channel::kGroupStart, 1'000);
  script.pulse(2'600'000, Channel::kLidPresent, 1'000);
}

}  // namespace

RecipeValues sound_recipe() {
  RecipeValues recipe;
  for (const ParameterRow& row : kParameterTable) {
    const bool given = row.default_value != kRequired;
    if (row.entries == 1) recipe.set(row.parameter, given ? row.default_value : row.min);
  }
  recipe.set(Parameter::kLinePulsePitchUm, 6'000);
  recipe.set(Parameter::kSensorToNozzleUm, 300'000);
  recipe.set(Parameter::kNozzleToSeamUm, 600'000);
  recipe.set(Parameter::kEdgeToCentreUm, 33'000);
  recipe.set(Parameter::kContainerWidthMinUm, 30'000);
  recipe.set(Parameter::kContainerWidthMaxUm, 100'000);
  recipe.set_slot(slot(Parameter::kOpenCurveUg, 0), 100'000);
  recipe.set_slot(slot(Parameter::kOpenCurveUg, 1), 500'000);
  recipe.set_slot(slot(Parameter::kOpenCurveUs, 0), 10'000);
  recipe.set_slot(slot(Parameter::kOpenCurveUs, 1), 50'000);
  recipe.set(Parameter::kDoseUg, 200'000);
  recipe.set(Parameter::kWaitErrorMaxUs, 50'000);
  recipe.set(Parameter::kSensorToGateUm, 1'500'000);
  return recipe;
}

Changes recipe_changes(Instant at, const RecipeValues& values) {
  Changes changes;
  for (int index = 0; index < kParameterSlots; ++index) {
    const std::int32_t value = values.at_slot(index);
    if (value != 0) changes.push_back({at, recipe_channel(index), value});
  }
  changes.push_back({at, Channel::kRecipeCommit, values.commit_value()});
  return changes;
}

Changes power_on_changes() {
  Script script;
  power_on(script);
  return script.changes();
}

Changes exercise() {
  Script script;
  power_on(script);
  belt_and_containers(script);
  samples(script);
  return script.changes();
}

std::vector<std::int32_t> recipe_answers(const Changes& outputs) {
  std::vector<std::int32_t> answers;
  for (const SignalChange& output : outputs) {
    if (output.channel == Channel::kRecipeState) answers.push_back(output.value);
  }
  return answers;
}

}  // namespace rimebench
