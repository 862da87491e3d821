#pragma once

/// Strict YAML to a Scenario: whatever is not said is missing, whatever is not known is a mistake,
/// and all mistakes of all files are reported in one pass.
///   scenario file ─┐
///   its from: ─────┼─> one tree ─> sections, row by row ─> cross-checks ─> Scenario, resolved text
///   their from: ───┘
/// Format and keys: describe_keys(). Any map may say `from: relative/path.yaml`: the map of that
/// file, with the keys beside `from` merged over it; lists, scalars and maps with a `from` replace.

#include <cstdint>
#include <optional>
#include <string>

#include "harness/config/diagnostic.hpp"
#include "harness/config/scenario.hpp"

namespace rimebench {

/// What the command line sets over the file.
struct ScenarioOverrides {
  std::optional<std::uint64_t> seed;
  std::optional<std::string> recipe{};  ///< a file, whole, in the place of the scenario's own
};

/// Reads a scenario file. nullopt after any mistake; `diagnostics` then has them all, in reading
/// order.
std::optional<Scenario> load_scenario(const std::string& path, const ScenarioOverrides& overrides,
                                      Diagnostics& diagnostics);

/// A line and a recipe from files of their own, as a scenario's `line:` and `recipe:` would take
/// them.
struct LineAndRecipe {
  LineSpec line;
  RecipeValues recipe;
};
std::optional<LineAndRecipe> load_line_and_recipe(const std::string& line_path,
                                                  const std::string& recipe_path,
                                                  Diagnostics& diagnostics);

/// Reads Scenario::resolved_text back: an equal Scenario with the same resolved text.
std::optional<Scenario> parse_resolved(const std::string& text, Diagnostics& diagnostics);

/// Every key with its range, unit, default and meaning, one a line.
std::string describe_keys();

}  // namespace rimebench
