#include "harness/config/plan_file.hpp"

#include <filesystem>

#include "harness/config/number.hpp"
#include "harness/config/plan_tree.hpp"
#include "harness/config/reader.hpp"
#include "harness/config/references.hpp"

namespace rimebench {

namespace {

void check_insert(Reading& reading, const ContainerSpec& container, const ProductSpec& product) {
  if (!reading.good({"container.insert_ml", "container.insert_gas_ml", "container.brimful_ml",
                     "product.fill_ml"})) {
    return;
  }
  if (container.insert_gas_ml > container.insert_ml) {
    reading.problem_at("container.insert_gas_ml",
                       number_text(container.insert_gas_ml) +
                           " is more than the insert itself, insert_ml " +
                           number_text(container.insert_ml));
  }
  const double room = container.brimful_ml - container.insert_ml;
  if (container.insert_ml > 0.0 && product.fill_ml > room) {
    reading.problem_at("product.fill_ml", number_text(product.fill_ml) +
                                              " is more than the container holds beside its "
                                              "insert, " +
                                              number_text(room) + " ml");
  }
}

/// Whether container, product and line fit each other is for a scenario's own checks to say.
void check_parts(Reading& reading, const PlanSpec& plan) {
  Scenario scenario;
  scenario.plant.container = plan.container;
  scenario.plant.product = plan.product;
  scenario.plant.line = plan.line;
  check_scenario(reading, scenario);
  check_insert(reading, plan.container, plan.product);
}

}  // namespace

std::optional<PlanSpec> load_plan(const std::string& path, Diagnostics& diagnostics) {
  Findings findings;
  std::optional<PlanSpec> plan;
  if (std::optional<Value> tree = load_tree(path, findings)) {
    convert_units(*tree, findings);
    const std::string kind = take_container_kind(*tree, findings);
    const std::vector<PlanDefault> defaults = fill_defaults(*tree, kind);
    Reading reading(findings);
    Section root(reading, *tree, "");
    read_plan(root, plan.emplace());
    plan->defaults = defaults;
    if (plan->name.empty()) plan->name = std::filesystem::path(path).stem().string();
    check_parts(reading, *plan);
  }
  if (!findings.empty()) plan.reset();
  const Diagnostics found = findings.in_order();
  diagnostics.insert(diagnostics.end(), found.begin(), found.end());
  return plan;
}

}  // namespace rimebench
