#include "harness/config/load.hpp"

#include <filesystem>
#include <utility>

#include "harness/config/number.hpp"
#include "harness/config/reader.hpp"
#include "harness/config/references.hpp"
#include "harness/config/tables.hpp"
#include "harness/config/text_file.hpp"
#include "harness/config/words.hpp"

namespace rimebench {

namespace {

void read_seed(Section& root, const ScenarioOverrides& overrides, std::uint64_t& seed) {
  const Value* const value = root.find(kSeedKey.key, false);
  if (value != nullptr) {
    std::string problem = std::string(kind_name(value->kind)) + ", not a number";
    std::optional<std::uint64_t> number;
    if (value->kind == Value::Kind::kScalar && !value->quoted) {
      number = parse_seed(value->text, problem);
    }
    if (number) {
      seed = *number;
    } else {
      root.reading().problem(value->mark, kSeedKey.key,
                             problem + " (valid: " + kSeedKey.valid + "; " + kSeedKey.doc + ')');
    }
  }
  seed = overrides.seed.value_or(seed);
  root.reading().resolved().value(kSeedKey.key, std::to_string(seed));
}

struct Origin {
  std::string name;  ///< of the scenario, unless the file gives one
  ScenarioOverrides overrides;
  bool logs;
};

std::optional<Scenario> read_scenario(const Value& tree, const Origin& origin, Findings& findings) {
  Reading reading(findings);
  Section root(reading, tree, "");
  Scenario scenario;
  PlantSpec& plant = scenario.plant;
  const std::optional<std::string> name = root.text(kNameKey);
  if (!name) reading.resolved().value(kNameKey.key, quoted(origin.name));
  scenario.name = name.value_or(origin.name);
  scenario.title = root.text(kTitleKey).value_or("");
  scenario.reason = root.text(kReasonKey).value_or("");
  const std::optional<int> claim = root.choice(kClaimKey, kClaimWords, false);
  scenario.claim = static_cast<Claim>(claim.value_or(0));
  read_rows(root, kSuiteRows, scenario);
  read_seed(root, origin.overrides, plant.seed);
  read_rows(root, kRunRows, plant);
  read_section(root, "container", kContainerRows, plant.container);
  read_section(root, "product", kProductRows, plant.product);
  read_line(root, plant.line);
  read_speed(root, plant.speed, origin.logs);
  read_happens(root, plant);
  read_recipe(root, plant.recipe);
  read_expect(root, scenario);
  read_approvals(root, scenario.approvals);
  root.close();
  check_scenario(reading, scenario);
  if (!findings.empty()) return std::nullopt;
  scenario.resolved_text = reading.resolved().text();
  return scenario;
}

void replace_recipe(Value& scenario, const std::string& path, Findings& findings) {
  std::optional<Value> recipe = load_tree(path, findings);
  Value* const place = scenario.find("recipe");
  if (!recipe || place == nullptr) return;
  recipe->key = place->key;
  recipe->key_mark = place->key_mark;
  *place = std::move(*recipe);
}

void append(Diagnostics& diagnostics, const Findings& findings) {
  const Diagnostics found = findings.in_order();
  diagnostics.insert(diagnostics.end(), found.begin(), found.end());
}

}  // namespace

std::optional<Scenario> load_scenario(const std::string& path, const ScenarioOverrides& overrides,
                                      Diagnostics& diagnostics) {
  Findings findings;
  std::optional<Scenario> scenario;
  std::optional<Value> tree = load_tree(path, findings);
  if (tree && overrides.recipe) replace_recipe(*tree, *overrides.recipe, findings);
  if (tree) {
    const std::string name = std::filesystem::path(path).stem().string();
    scenario = read_scenario(*tree, {name, overrides, true}, findings);
  }
  append(diagnostics, findings);
  return scenario;
}

std::optional<LineAndRecipe> load_line_and_recipe(const std::string& line_path,
                                                  const std::string& recipe_path,
                                                  Diagnostics& diagnostics) {
  Findings findings;
  Value root;
  root.kind = Value::Kind::kMap;
  for (const auto& [key, path] : {std::pair{"line", line_path}, {"recipe", recipe_path}}) {
    std::optional<Value> tree = load_tree(path, findings);
    if (!tree) continue;
    tree->key = key;
    root.items.push_back(std::move(*tree));
  }
  LineAndRecipe loaded;
  if (root.items.size() == 2) {
    Reading reading(findings);
    Section section(reading, root, "");
    read_line(section, loaded.line);
    read_recipe(section, loaded.recipe);
    section.close();
  }
  append(diagnostics, findings);
  if (!findings.empty()) return std::nullopt;
  return loaded;
}

std::optional<Scenario> parse_resolved(const std::string& text, Diagnostics& diagnostics) {
  Findings findings;
  const int file = findings.add_file("resolved scenario");
  std::optional<Scenario> scenario;
  const std::string problem = text_problem(text);
  if (!problem.empty()) {
    findings.add({file, 0, 0}, "", problem);
  } else if (const std::optional<Value> tree = parse_yaml(text, file, "", findings)) {
    scenario = read_scenario(*tree, {"unnamed", {}, false}, findings);
  }
  append(diagnostics, findings);
  return scenario;
}

}  // namespace rimebench
