#include "tests/properties/recipes.hpp"

#include <algorithm>
#include <vector>

#include "firmware_sim/contract/parameter_table.hpp"
#include "tests/core/line_on_rails.hpp"

namespace rimebench::properties {
namespace {

std::int32_t value_in(const ParameterRow& row) {
  switch (*between(0, 5)) {
    case 0:
      return row.min;
    case 1:
      return row.max;
    case 2:
      return static_cast<std::int32_t>(*between(row.min, std::min(row.max, row.min + 9)));
    case 3:
      return static_cast<std::int32_t>(
          *between(row.min, row.min + (std::int64_t{row.max} - row.min) / 1'000));
    default:
      return static_cast<std::int32_t>(*between(row.min, row.max));
  }
}

/// `points` values of the list's range; strictly rising if asked for. Its first x may be 0.
void set_list(RecipeValues& recipe, Parameter list, int points, bool rising) {
  const ParameterRow& row = row_of(list);
  std::vector<std::int32_t> values;
  for (int i = 0; i < points; ++i) values.push_back(value_in(row));
  if (rising) {
    std::sort(values.begin(), values.end());
    for (std::size_t i = 1; i < values.size(); ++i) {
      if (values[i] <= values[i - 1]) values[i] = std::min(row.max, values[i - 1] + 1);
      if (values[i] <= values[i - 1]) values.resize(i);
    }
  }
  for (int i = 0; i < row.entries; ++i) {
    const bool used = static_cast<std::size_t>(i) < values.size();
    recipe.set_slot(slot(list, i), used ? values[static_cast<std::size_t>(i)] : 0);
  }
}

int used_points(const RecipeValues& recipe, Parameter list) {
  int points = 1;
  while (points < kCurvePoints && recipe.get(list, points) > recipe.get(list, points - 1)) ++points;
  return points;
}

/// A curve's y has as many points as its x strictly rises.
void set_curve(RecipeValues& recipe, Parameter x, Parameter y, bool rising) {
  set_list(recipe, x, static_cast<int>(*between(1, kCurvePoints)), true);
  const int points = used_points(recipe, x);
  set_list(recipe, y, points, rising);
  // Two equal values at the top of y's range leave it shorter than x: then one point each.
  if (!rising || used_points(recipe, y) == points) return;
  set_list(recipe, x, 1, true);
  set_list(recipe, y, 1, true);
}

/// One recipe in two has a stream, slow enough to be begun and rough enough to be fired.
void set_stream(RecipeValues& recipe) {
  const auto set = [&](Parameter parameter, std::int64_t value) {
    recipe.set(parameter, static_cast<std::int32_t>(value));
  };
  const std::int64_t enter = std::max<std::int64_t>(0, *between(-5, 5) * 100'000);
  set(Parameter::kStreamEnterUmPerS, enter);
  set(Parameter::kStreamLeaveUmPerS, enter * *between(0, 4) / 4);
  set(Parameter::kStreamGapUs, *between(0, 3) * 15'000);
  set(Parameter::kStreamUsMax, *between(0, 4) * 40'000);
  set(Parameter::kStreamFlowUgPerS, *between(1, 20) * 1'000'000);
  set(Parameter::kOpeningUm, *between(0, 4) * 8'000);
  set(Parameter::kStreamDoseErrorMaxPpm, *between(0, 3) == 0 ? 200'000 : 1'000'000);
}

}  // namespace

RecipeValues any_recipe() {
  RecipeValues recipe;
  for (const ParameterRow& row : kParameterTable) {
    for (int i = 0; i < row.entries; ++i) {
      recipe.set_slot(slot(row.parameter, i), value_in(row));
    }
  }
  set_curve(recipe, Parameter::kOpenCurveUg, Parameter::kOpenCurveUs, true);
  set_curve(recipe, Parameter::kWaitCurveUs, Parameter::kWaitCurvePpm, false);
  set_curve(recipe, Parameter::kHeadCurvePa, Parameter::kHeadCurvePpm, false);
  return recipe;
}

RecipeValues running_recipe() {
  RecipeValues recipe = rails::rotary_recipe();
  const auto set = [&](Parameter parameter, std::int64_t value) {
    recipe.set(parameter, static_cast<std::int32_t>(value));
  };
  set(Parameter::kTransport, *between(0, 1));
  set(Parameter::kDebounceUs, *between(0, 3) * 700);
  set(Parameter::kPlaceSource, *between(0, 2));
  set(Parameter::kPlaceCount, *between(1, 4));
  set(Parameter::kHeadPitchUm, *between(0, 3) * 10'000);
  set(Parameter::kPitchMinUm, *between(0, 2) * 5'000);
  set(Parameter::kContainerWidthMinUm, *between(0, 1));
  set(Parameter::kLinePulsePitchUm, *between(0, 3) * 5'000);
  set(Parameter::kValveFeedbackUsMax, *between(0, 2) * 9'000);
  set(Parameter::kSensorToNozzleUm, *between(1, 5) * 20'000);
  set(Parameter::kNozzleToSeamUm, *between(1, 3) * 50'000);
  set(Parameter::kSensorToGateUm, *between(0, 2) * 150'000);
  set(Parameter::kDischargeToGateUm, *between(0, 2) * 50'000);
  set(Parameter::kRestUsMin, *between(0, 2) * 2'000);
  set(Parameter::kOpenUsMax, *between(1, 3) * 20'000);
  set(Parameter::kCoolDownOpenUs, *between(0, 2) * 4'000);
  set(Parameter::kCoolDownPeriodUs, *between(1, 5) * 3'000);
  set(Parameter::kCoolDownUsMax, *between(0, 3) == 0 ? 50'000 : 0);
  set(Parameter::kIdlePeriodUs, *between(0, 2) * 30'000);
  set(Parameter::kNozzleClearUm, *between(0, 2) * 4'000);
  set(Parameter::kTestOpenUs, *between(0, 2) * 9'000);
  set(Parameter::kTestPeriodUs, *between(1, 5) * 4'000);
  set(Parameter::kTestShotsAtStart, *between(0, 5) == 0 ? 2 : 0);
  set(Parameter::kOpenBudgetUs, *between(0, 2) * 60'000);
  set(Parameter::kOpenSharePpm, *between(0, 4) * 100'000);
  set(Parameter::kRoomOxygenPpmMin, *between(0, 3) == 0 ? 10'000 : 0);
  set_stream(recipe);
  const std::int64_t moved = *between(0, 2);
  for (std::int64_t i = 0; i < moved; ++i) {
    const auto index = static_cast<std::size_t>(*between(0, kParameterTable.size() - 1));
    const ParameterRow& row = kParameterTable[index];
    if (row.entries == 1) recipe.set(row.parameter, value_in(row));
  }
  return recipe;
}

void stage(Changes& changes, Instant at, const RecipeValues& before, const RecipeValues& values) {
  for (int index = 0; index < kParameterSlots; ++index) {
    if (values.at_slot(index) == before.at_slot(index)) continue;
    changes.push_back({at, recipe_channel(index), values.at_slot(index)});
  }
  changes.push_back({at, Channel::kRecipeCommit, values.commit_value()});
}

}  // namespace rimebench::properties
