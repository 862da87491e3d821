#include "harness/cli/plan_command.hpp"

#include <fmt/format.h>

#include <ostream>

#include "harness/cli/plan_json.hpp"
#include "harness/cli/plan_text.hpp"
#include "harness/cli/report_file.hpp"
#include "harness/cli/shell_word.hpp"
#include "harness/config/plan_file.hpp"
#include "harness/config/recipe_text.hpp"
#include "harness/dossier/plan_dossier.hpp"
#include "harness/trace/output_file.hpp"
#include "plant_model/planner/plan.hpp"

namespace rimebench {

ExitCode plan_command(const PlanOptions& options, std::ostream& out, std::ostream& err) {
  Diagnostics diagnostics;
  const auto spec = load_plan(options.file, diagnostics);
  for (const Diagnostic& diagnostic : diagnostics) err << to_text(diagnostic) << "\n";
  if (!spec) return ExitCode::kBadInput;
  std::optional<ReportFile> report;
  if (!begin_report(options.report, report, err)) return ExitCode::kBadInput;
  const DosePlan plan = make_plan(*spec);
  const ExitCode code = exit_code(outcome_of(*spec, plan));
  if (!options.recipe.empty() && plan.recipe) {
    write_whole_file(options.recipe,
                     fmt::format("# {}: {}\n# Planned by: rimebench plan {}\n{}", spec->name,
                                 spec->title, options.file, recipe_text(*plan.recipe)));
  }
  if (report) {
    report->write(plan_dossier(*spec, plan, "rimebench plan " + shell_word(options.file)));
  }
  const std::string json = options.json.empty() ? "" : plan_json(*spec, plan);
  if (options.json == "-") {
    out << json;
    return code;
  }
  if (!options.json.empty()) write_whole_file(options.json, json);
  out << plan_text(*spec, plan);
  if (!options.recipe.empty()) {
    out << (plan.recipe ? fmt::format("\nrecipe written to {}\n", options.recipe)
                        : std::string("\nno recipe is written: the plan is refused\n"));
  }
  return code;
}

}  // namespace rimebench
