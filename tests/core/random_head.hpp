#pragma once

#include <array>
#include <random>

#include "tests/core/head_line.hpp"

namespace rimebench::rails {

/// A line with a start-up, test and cool-down shots, a head curve, room oxygen, valve feedback and
/// a second guard, whose wires, buttons and samples all wander at random.
inline Changes random_head(unsigned seed) {
  std::mt19937 random(seed);
  const auto up_to = [&](std::uint32_t most) { return static_cast<std::int64_t>(random() % most); };
  const auto value_up_to = [&](std::uint32_t most) {
    return static_cast<std::int32_t>(up_to(most));
  };
  RecipeValues recipe = cold_start_recipe();
  recipe.set(Parameter::kPurgeUs, value_up_to(2) * 50'000);
  recipe.set(Parameter::kCoolDownUsMax, value_up_to(3) * 1'000'000);
  recipe.set(Parameter::kCoolDownOpenUs, value_up_to(60'000));
  recipe.set(Parameter::kCoolDownPeriodUs, 1'000 + value_up_to(80'000));
  recipe.set(Parameter::kColdHoldUs, value_up_to(20'000));
  recipe.set(Parameter::kTestOpenUs, value_up_to(20'000));
  recipe.set(Parameter::kTestPeriodUs, 1'000 + value_up_to(30'000));
  recipe.set(Parameter::kIdleUsMax, value_up_to(300'000));
  recipe.set(Parameter::kIdlePeriodUs, value_up_to(2) * 100'000);
  recipe.set(Parameter::kUnsteadyCount, value_up_to(5));
  recipe.set(Parameter::kRoomOxygenPpmMin, value_up_to(2) * 190'000);
  recipe.set(Parameter::kValveFeedbackUsMax, value_up_to(2) * 50'000);
  recipe.set(Parameter::kValveSlowUs, 5'000);
  recipe.set(Parameter::kValveSlowCountMax, value_up_to(4));
  recipe.set(Parameter::kOpenBudgetUs, value_up_to(3) * 100'000);
  recipe.set(Parameter::kOpenSharePpm, value_up_to(500'000));
  recipe.set(Parameter::kHeadOutUsMax, value_up_to(2) * 500'000);
  recipe.set(Parameter::kNozzleClearUm, value_up_to(60'000));
  recipe.set(Parameter::kLinePulsePitchUm, value_up_to(3) * 5'000);
  recipe.set(Parameter::kSensorToNozzleUm, 20'000 + value_up_to(300'000));
  recipe.set(Parameter::kRestUsMin, value_up_to(2) * 2'000);
  if (up_to(2) == 0) {
    for (int i = 0; i < 2; ++i) {
      recipe.set_slot(slot(Parameter::kHeadCurvePa, i), 10'000 + 20'000 * i);
      recipe.set_slot(slot(Parameter::kHeadCurvePpm, i), 1'300'000 - 400'000 * i);
    }
  }

  Script script;
  script.set(500, Channel::kRoomOxygen, 209'000).set(500, Channel::kSupplyPressure, 20'000);
  cold_from(script, 500).started(recipe);
  std::array<std::int32_t, 32> level{};
  for (const Channel wire :
       {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kLinkAlive, Channel::kRunPermit}) {
    level[number(wire)] = 1;
  }
  constexpr std::array kRare = {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kLinkAlive,
                                Channel::kOperatorStop, Channel::kRoomOxygen};
  constexpr std::array kOften = {
      Channel::kContainerSensor, Channel::kLinePulse,       Channel::kLinePulse,
      Channel::kLinePulse,       Channel::kRunPermit,       Channel::kValveFeedback,
      Channel::kOperatorReset,   Channel::kOperatorStart,   Channel::kSupplyLevel,
      Channel::kSupplyPressure,  Channel::kBodyTemperature, Channel::kOperatorTestShots};
  const auto next_value = [&](Channel wire, std::int32_t now) -> std::int32_t {
    switch (number(wire)) {
      case number(Channel::kSupplyLevel):
        return 15'000 + value_up_to(20'000);
      case number(Channel::kSupplyPressure):
        return 8'000 + value_up_to(24'000);
      case number(Channel::kBodyTemperature):
        return 85'000 + value_up_to(8'000);
      case number(Channel::kRoomOxygen):
        return now == 150'000 ? 209'000 : 150'000;
      case number(Channel::kOperatorTestShots):
        return now == 0 ? value_up_to(5) : 0;
      default:
        return 1 - now;
    }
  };
  std::int64_t at = 10'000;
  for (int i = 0; i < 3'000; ++i) {
    at += 1 + up_to(6'000);
    const Channel wire = up_to(60) == 0 ? kRare[static_cast<std::size_t>(up_to(kRare.size()))]
                                        : kOften[static_cast<std::size_t>(up_to(kOften.size()))];
    std::int32_t& now = level[number(wire)];
    const std::int32_t next = next_value(wire, now);
    if (next != now) script.set(at, wire, next);
    now = next;
  }
  return script.changes();
}

}  // namespace rimebench::rails
