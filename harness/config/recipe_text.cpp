#include "harness/config/recipe_text.hpp"

#include <vector>

#include "firmware_sim/contract/parameter_table.hpp"
#include "harness/config/resolved_text.hpp"
#include "harness/config/words.hpp"

namespace rimebench {

namespace {

/// Points of a curve are as many as its x rises; one point at zero is none.
int curve_points(const RecipeValues& recipe, Parameter x, Parameter y) {
  int count = 1;
  while (count < kCurvePoints && recipe.get(x, count) > recipe.get(x, count - 1)) ++count;
  return count == 1 && recipe.get(y) == 0 ? 0 : count;
}

int entries_of(const RecipeValues& recipe, Parameter list) {
  if (list == Parameter::kOpenCurveUg || list == Parameter::kOpenCurveUs) {
    return curve_points(recipe, Parameter::kOpenCurveUg, Parameter::kOpenCurveUs);
  }
  if (list == Parameter::kWaitCurveUs || list == Parameter::kWaitCurvePpm) {
    return curve_points(recipe, Parameter::kWaitCurveUs, Parameter::kWaitCurvePpm);
  }
  if (list == Parameter::kHeadCurvePa || list == Parameter::kHeadCurvePpm) {
    return curve_points(recipe, Parameter::kHeadCurvePa, Parameter::kHeadCurvePpm);
  }
  const bool by_place = recipe.get(Parameter::kWaitSource) == static_cast<int>(WaitSource::kPlace);
  return by_place ? recipe.get(Parameter::kPlaceCount) : 0;
}

std::string value_text(const RecipeValues& recipe, const ParameterRow& row) {
  const auto words = words_of(row.parameter);
  if (!words.empty()) return words[static_cast<std::size_t>(recipe.get(row.parameter))];
  if (row.entries == 1) return std::to_string(recipe.get(row.parameter));
  std::vector<std::string> entries;
  for (int i = 0; i < entries_of(recipe, row.parameter); ++i) {
    entries.push_back(std::to_string(recipe.get(row.parameter, i)));
  }
  return flow_list(entries);
}

}  // namespace

std::string recipe_text(const RecipeValues& recipe) {
  std::string text;
  for (const ParameterRow& row : kParameterTable) {
    text += std::string(row.key) + ": " + value_text(recipe, row) + "\n";
  }
  return text;
}

}  // namespace rimebench
