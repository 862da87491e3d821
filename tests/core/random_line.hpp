#pragma once

#include <array>
#include <random>

#include "tests/core/line_on_rails.hpp"

namespace rimebench::rails {

/// Every input wire flickers at random for a while, on a line that is otherwise set up to run.
inline Changes random_line(unsigned seed) {
  std::mt19937 random(seed);
  const auto up_to = [&](std::uint32_t most) { return static_cast<std::int64_t>(random() % most); };
  RecipeValues recipe = rotary_recipe();
  for (const auto parameter :
       {Parameter::kTransport, Parameter::kDebounceUs, Parameter::kPlaceSource,
        Parameter::kPitchMinUm, Parameter::kContainerWidthMinUm}) {
    recipe.set(parameter, static_cast<std::int32_t>(up_to(2)));
  }
  recipe.set(Parameter::kLinePulsePitchUm, static_cast<std::int32_t>(up_to(4) * 5'000));
  recipe.set(Parameter::kValveFeedbackUsMax, static_cast<std::int32_t>(up_to(2) * 5'000));
  recipe.set(Parameter::kSensorToNozzleUm, 20'000);
  recipe.set(Parameter::kNozzleToSeamUm, 50'000);
  recipe.set(Parameter::kSensorToGateUm, 150'000);
  recipe.set(Parameter::kDischargeToGateUm, 50'000);
  recipe.set(Parameter::kRestUsMin, 0);
  Script script;
  script.started(recipe);
  std::array<std::int32_t, 32> level{};
  for (const Channel wire :
       {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kLinkAlive, Channel::kRunPermit}) {
    level[number(wire)] = 1;
  }
  constexpr std::array kRare = {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kLinkAlive,
                                Channel::kOperatorStop, Channel::kRunPermit};
  constexpr std::array kOften = {Channel::kContainerSensor, Channel::kLinePulse,
                                 Channel::kLinePulse,       Channel::kGroupStart,
                                 Channel::kDischargeSensor, Channel::kValveFeedback,
                                 Channel::kOperatorReset,   Channel::kOperatorStart};
  std::int64_t at = 10'000;
  for (int i = 0; i < 3'000; ++i) {
    at += 1 + up_to(6'000);
    const Channel wire = up_to(40) == 0 ? kRare[static_cast<std::size_t>(up_to(kRare.size()))]
                                        : kOften[static_cast<std::size_t>(up_to(kOften.size()))];
    std::int32_t& now = level[number(wire)];
    now = 1 - now;
    script.set(at, wire, now);
  }
  return script.changes();
}

}  // namespace rimebench::rails
