#include <map>

#include "firmware_sim/contract/parameter_table.hpp"
#include "harness/config/number.hpp"
#include "harness/config/reader.hpp"
#include "harness/config/words.hpp"

namespace rimebench {

namespace {

NumberKey number_key(const ParameterRow& row) {
  const double fallback = row.default_value == kRequired ? kMustBeGiven : row.default_value;
  return {row.key,
          NumberKind::kWhole,
          row.unit,
          static_cast<double>(row.min),
          static_cast<double>(row.max),
          fallback,
          row.doc};
}

void read_choice(Section& section, const ParameterRow& row, RecipeValues& recipe) {
  const auto words = words_of(row.parameter);
  std::string valid;
  for (const char* word : words) valid += (valid.empty() ? "" : ", ") + std::string(word);
  const char* const fallback =
      row.default_value == kRequired ? nullptr : words[static_cast<std::size_t>(row.default_value)];
  const std::optional<int> index =
      section.choice({row.key, valid.c_str(), fallback, row.doc}, words, true);
  if (index) recipe.set(row.parameter, *index);
}

std::string entries_text(int count) {
  return std::to_string(count) + (count == 1 ? " entry" : " entries");
}

/// How many entries the list has; nullopt after a mistake.
std::optional<int> read_entries(Section& section, const ParameterRow& row, RecipeValues& recipe) {
  const std::string valid = "a list of up to " + std::to_string(row.entries);
  const auto items = section.list({row.key, valid.c_str(), "none", row.doc});
  if (!items) return std::nullopt;
  Reading& reading = section.reading();
  const std::string path = section.path_of(row.key);
  if (items->size() > static_cast<std::size_t>(row.entries)) {
    const Value& first_too_many = (*items)[static_cast<std::size_t>(row.entries)];
    reading.problem(first_too_many.mark, path,
                    "more than " + std::to_string(row.entries) + " entries");
    return std::nullopt;
  }
  std::vector<std::string> texts;
  bool good = true;
  for (const Value& item : *items) {
    const int entry = static_cast<int>(texts.size());
    const std::string entry_path = path + '[' + std::to_string(entry + 1) + ']';
    const auto number = read_number(reading, item, entry_path, number_key(row));
    texts.push_back(item.text);
    reading.remember(entry_path, item.mark, number.has_value());
    good = good && number.has_value();
    if (number) {
      recipe.set_slot(slot(row.parameter, entry), static_cast<std::int32_t>(number->whole));
    }
  }
  reading.resolved().value(row.key, flow_list(texts));
  if (!good) return std::nullopt;
  return static_cast<int>(texts.size());
}

/// Lists that were read without a mistake, and how many entries each was given.
using ListSizes = std::map<Parameter, int>;

void check_rising(Section& section, const RecipeValues& recipe, Parameter list, int count) {
  for (int i = 1; i < count; ++i) {
    const std::int32_t before = recipe.get(list, i - 1);
    const std::int32_t value = recipe.get(list, i);
    if (value > before) continue;
    section.reading().problem_at(
        section.path_of(row_of(list).key) + '[' + std::to_string(i + 1) + ']',
        std::to_string(value) + " does not rise above " + std::to_string(before) + " before it");
  }
}

/// Two lists that make one curve: as long as each other, x rising, two points at least.
void check_curve(Section& section, const RecipeValues& recipe, const ListSizes& sizes, Parameter x,
                 Parameter y) {
  if (sizes.contains(x)) check_rising(section, recipe, x, sizes.at(x));
  if (!sizes.contains(x) || !sizes.contains(y)) return;
  const std::string y_path = section.path_of(row_of(y).key);
  if (sizes.at(x) != sizes.at(y)) {
    section.reading().problem_at(
        y_path, entries_text(sizes.at(y)) + ", but " + row_of(x).key + " has " +
                    std::to_string(sizes.at(x)) + " (" +
                    section.reading().line_of(section.path_of(row_of(x).key)) + ')');
  } else if (sizes.at(x) == 1) {
    section.reading().problem_at(y_path, "1 entry, but a curve needs two points at least");
  }
}

void check_lists(Section& section, const RecipeValues& recipe, const ListSizes& sizes) {
  Reading& reading = section.reading();
  check_curve(section, recipe, sizes, Parameter::kOpenCurveUg, Parameter::kOpenCurveUs);
  check_curve(section, recipe, sizes, Parameter::kWaitCurveUs, Parameter::kWaitCurvePpm);
  check_curve(section, recipe, sizes, Parameter::kHeadCurvePa, Parameter::kHeadCurvePpm);
  for (const Parameter list : {Parameter::kOpenCurveUs, Parameter::kWaitCurvePpm}) {
    if (sizes.contains(list)) check_rising(section, recipe, list, sizes.at(list));
  }
  const bool by_place = recipe.get(Parameter::kWaitSource) == static_cast<int>(WaitSource::kPlace);
  const int places = recipe.get(Parameter::kPlaceCount);
  const std::string count = section.path_of("place_count");
  const std::string source = section.path_of("wait_source");
  if (by_place && sizes.contains(Parameter::kPlaceWaitUs) &&
      reading.good({count.c_str(), source.c_str()}) &&
      sizes.at(Parameter::kPlaceWaitUs) != places) {
    reading.problem_at(section.path_of("place_wait_us"),
                       entries_text(sizes.at(Parameter::kPlaceWaitUs)) + ", but place_count is " +
                           std::to_string(places));
  }
  if (sizes.contains(Parameter::kOpenCurveUg) && sizes.at(Parameter::kOpenCurveUg) == 0) {
    reading.problem_at(section.path_of("open_curve_ug"), "no valve calibration, so no dose");
  }
}

void read_recipe_values(Section& section, RecipeValues& recipe) {
  ListSizes sizes;
  for (const ParameterRow& row : kParameterTable) {
    for (int entry = 0; entry < row.entries && row.default_value != kRequired; ++entry) {
      recipe.set_slot(slot(row.parameter, entry), row.default_value);
    }
    if (!words_of(row.parameter).empty()) {
      read_choice(section, row, recipe);
    } else if (row.entries > 1) {
      if (const auto size = read_entries(section, row, recipe)) sizes[row.parameter] = *size;
    } else if (const auto number = section.number(number_key(row))) {
      recipe.set(row.parameter, static_cast<std::int32_t>(number->whole));
    }
  }
  check_lists(section, recipe, sizes);
  section.close();
}

}  // namespace

void read_recipe(Section& scenario, RecipeValues& recipe) {
  if (std::optional<Section> section = scenario.child("recipe", true)) {
    read_recipe_values(*section, recipe);
  }
}

void read_second_recipe(Section& happens, std::optional<RecipeValues>& recipe) {
  std::optional<Section> section = happens.child("second_recipe", false);
  if (section) read_recipe_values(*section, recipe.emplace());
}
}  // namespace rimebench
