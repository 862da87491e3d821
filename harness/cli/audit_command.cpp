#include "harness/cli/audit_command.hpp"

#include <fmt/format.h>

#include <ostream>

#include "harness/audit/audit.hpp"
#include "harness/cli/audit_dossier.hpp"
#include "harness/cli/audit_text.hpp"
#include "harness/cli/captured_file.hpp"
#include "harness/cli/node_option.hpp"
#include "harness/cli/report_file.hpp"
#include "harness/cli/shell_word.hpp"
#include "harness/config/load.hpp"
#include "harness/config/recipe_text.hpp"
#include "harness/trace/output_file.hpp"

namespace rimebench {

namespace {

std::optional<LineAndRecipe> load(const AuditOptions& options, std::ostream& err) {
  Diagnostics diagnostics;
  std::optional<LineAndRecipe> loaded;
  const bool scenario = !options.scenario.empty();
  if (scenario != options.line.empty() || (!scenario && options.recipe.empty())) {
    err << "audit needs --line FILE and --recipe FILE, or --scenario FILE in the place of both\n";
    return std::nullopt;
  }
  if (scenario) {
    const auto recipe =
        options.recipe.empty() ? std::nullopt : std::optional<std::string>(options.recipe);
    const auto whole = load_scenario(options.scenario, {{}, recipe}, diagnostics);
    if (whole) loaded = LineAndRecipe{whole->plant.line, whole->plant.recipe};
  } else {
    loaded = load_line_and_recipe(options.line, options.recipe, diagnostics);
  }
  for (const Diagnostic& diagnostic : diagnostics) err << to_text(diagnostic) << "\n";
  return diagnostics.empty() ? loaded : std::nullopt;
}

AuditContext context_of(const AuditOptions& options) {
  const bool own = options.recipe.empty();
  return {options.file, options.scenario.empty() ? options.line : options.scenario,
          own ? options.scenario : options.recipe};
}

void write_recipe(const AuditOptions& options, const AuditReport& report, std::ostream& out) {
  std::string head = fmt::format("# Corrected after an audit of {} from {}.\n", options.file,
                                 options.recipe.empty() ? options.scenario : options.recipe);
  for (const Correction& one : report.corrections) {
    head += fmt::format("# {}: {}, was {}; measured {:.1f} ({:.1f} .. {:.1f}, 95 % sure).\n",
                        one.key, one.new_value, one.old_value, one.measured.value, one.measured.low,
                        one.measured.high);
  }
  write_whole_file(options.recipe_out, head + recipe_text(report.corrected));
  if (options.json != "-") out << fmt::format("written: {}\n", options.recipe_out);
}

std::string repeat_command(const AuditOptions& options) {
  std::string command = "rimebench audit " + shell_word(options.file);
  const auto add = [&](const char* option, const std::string& value) {
    if (!value.empty()) command += fmt::format(" {} {}", option, shell_word(value));
  };
  add("--line", options.line);
  add("--recipe", options.recipe);
  add("--scenario", options.scenario);
  for (const std::string& wire : options.wires) add("--wire", wire);
  if (options.debounce_us != 0) add("--debounce-us", std::to_string(options.debounce_us));
  if (options.within_us != AuditOptions{}.within_us) {
    add("--within-us", std::to_string(options.within_us));
  }
  if (options.node != "inproc") add("--node", options.node);
  return command;
}

AuditReport audited(const AuditOptions& options, const CapturedLine& line, const AuditSetup& setup,
                    Node& node) {
  try {
    return audit(line, setup, node);
  } catch (const std::invalid_argument& error) {
    throw std::invalid_argument(options.file + ": " + error.what());
  }
}

}  // namespace

ExitCode audit_command(const AuditOptions& options, std::ostream& out, std::ostream& err) {
  const auto choices = capture_options(options.wires, options.debounce_us, err);
  const auto loaded = load(options, err);
  if (!choices || !loaded) return ExitCode::kBadInput;
  if (const std::string problem = ReportFile::problem(options.report); !problem.empty()) {
    err << "rimebench: " << problem << "\n";
    return ExitCode::kBadInput;
  }
  const CapturedLine line = load_captured_line(options.file, *choices);
  try {
    const auto node = open_node(options.node);
    const AuditSetup setup{loaded->line, loaded->recipe, static_cast<double>(options.within_us)};
    const AuditReport report = audited(options, line, setup, *node);
    const AuditContext context = context_of(options);
    if (!options.report.empty()) {
      ReportFile(options.report).write(audit_dossier(report, context, repeat_command(options)));
    }
    if (!options.json.empty() && options.json != "-") {
      write_whole_file(options.json, audit_json(report, context));
    }
    out << (options.json == "-" ? audit_json(report, context) : audit_text(report, context));
    if (!options.recipe_out.empty()) write_recipe(options, report, out);
    return exit_code(outcome_of(report));
  } catch (const LinkError& error) {
    err << error.what() << "\n";
    return ExitCode::kInconclusive;
  }
}

}  // namespace rimebench
