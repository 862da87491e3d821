#pragma once

#include "tests/core/line_on_rails.hpp"

namespace rimebench::rails {

/// The rotary line with a head that has to be brought up: 1 s of dry purge, cool-down until the
/// body is at 90 K or colder under 20 mm of liquid for 500 ms, 10 s at most, then two test shots.
inline RecipeValues cold_start_recipe() {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kPurgeUs, 1'000'000);
  recipe.set(Parameter::kCoolDownOpenUs, 50'000);
  recipe.set(Parameter::kCoolDownPeriodUs, 200'000);
  recipe.set(Parameter::kCoolDownUsMax, 10'000'000);
  recipe.set(Parameter::kBodyTemperatureMkMax, 90'000);
  recipe.set(Parameter::kSupplyLevelUmMin, 20'000);
  recipe.set(Parameter::kColdHoldUs, 500'000);
  recipe.set(Parameter::kTestShotsAtStart, 2);
  recipe.set(Parameter::kTestOpenUs, 30'000);
  recipe.set(Parameter::kTestPeriodUs, 100'000);
  return recipe;
}

inline RecipeValues with(RecipeValues recipe, Parameter parameter, std::int32_t value) {
  recipe.set(parameter, value);
  return recipe;
}

/// The head's samples, from this instant on.
inline Script& cold_from(Script& script, std::int64_t at_us) {
  script.set(at_us, Channel::kSupplyLevel, 20'000);
  return script.set(at_us, Channel::kBodyTemperature, 90'000);
}

inline std::string alarm_at(std::int64_t at_us, Fault fault) {
  return std::to_string(at_us) + '=' + std::to_string(static_cast<int>(fault));
}

}  // namespace rimebench::rails
