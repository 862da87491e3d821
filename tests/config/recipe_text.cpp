#include <doctest/doctest.h>

#include <string>

#include "harness/config/load.hpp"
#include "harness/config/recipe_text.hpp"

namespace rimebench {
namespace {

/// The scenario with its recipe replaced by this text.
std::string with_recipe(const Scenario& scenario, const std::string& recipe) {
  std::string text = scenario.resolved_text;
  const std::size_t from = text.find("\nrecipe:\n") + 1;
  const std::size_t to = text.find("\nexpect:\n") + 1;
  std::string block = "recipe:\n";
  for (std::size_t at = 0; at < recipe.size();) {
    const std::size_t end = recipe.find('\n', at) + 1;
    block += "  " + recipe.substr(at, end - at);
    at = end;
  }
  return text.replace(from, to - from, block);
}

TEST_CASE("recipe text: every recipe of the demo line reads back as the same values") {
  for (const char* name : {"inline_ramp", "inline_no_ramp", "inline_by_head_number",
                           "rotary_steady", "timing_screw"}) {
    CAPTURE(name);
    Diagnostics diagnostics;
    const auto scenario = load_scenario(
        std::string(REPOSITORY_DIR "/config/scenarios/") + name + ".yaml", {}, diagnostics);
    REQUIRE(scenario);
    const std::string text = with_recipe(*scenario, recipe_text(scenario->plant.recipe));
    const auto again = parse_resolved(text, diagnostics);
    REQUIRE_MESSAGE(again, (diagnostics.empty() ? "" : to_text(diagnostics.front())));
    CHECK(again->plant.recipe == scenario->plant.recipe);
  }
}

}  // namespace
}  // namespace rimebench
