#include "harness/cli/suite_command.hpp"

#include <fmt/format.h>
#include <fnmatch.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <ostream>
#include <sstream>
#include <thread>

#include "harness/campaign/suite_text.hpp"
#include "harness/cli/node_option.hpp"
#include "harness/cli/report_file.hpp"
#include "harness/cli/scenario_files.hpp"
#include "harness/cli/shell_word.hpp"
#include "harness/cli/terminal.hpp"
#include "harness/dossier/suite_dossier.hpp"
#include "harness/trace/output_file.hpp"

namespace rimebench {

namespace {

/// Scenario files of the folder, by name.
std::vector<std::string> files_of(const SuiteOptions& options) {
  std::error_code error;
  std::vector<std::string> files;
  std::filesystem::directory_iterator entries(options.folder, error);
  if (error) {
    throw std::invalid_argument(
        fmt::format("rimebench: suite: {}: {}", options.folder, error.message()));
  }
  for (const auto& entry : entries) {
    const std::filesystem::path& file = entry.path();
    const std::string name = file.stem().string();
    if (file.extension() != ".yaml") continue;
    if (!options.only.empty() && fnmatch(options.only.c_str(), name.c_str(), 0) != 0) continue;
    files.push_back(file.string());
  }
  if (files.empty()) {
    throw std::invalid_argument(
        fmt::format("rimebench: suite: {} has no scenario{}", options.folder,
                    options.only.empty() ? std::string() : " named " + options.only));
  }
  std::ranges::sort(files);
  return files;
}

std::string record_path(const SuiteOptions& options) { return options.folder + "/suite.record"; }

/// An empty record where there is no file; nothing where it cannot be read.
std::optional<SuiteRecord> read_record(const SuiteOptions& options, std::ostream& err) {
  if (!std::filesystem::exists(record_path(options))) return SuiteRecord{};
  std::ifstream file(record_path(options), std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  Diagnostics diagnostics;
  auto record = parse_record(text.str(), record_path(options), diagnostics);
  for (const Diagnostic& diagnostic : diagnostics) err << to_text(diagnostic) << "\n";
  return record;
}

int jobs_of(const SuiteOptions& options) {
  if (options.jobs > 0) return options.jobs;
  const bool here = options.node == "inproc" || options.node.starts_with("stand_in:");
  return here ? static_cast<int>(std::max(1U, std::thread::hardware_concurrency())) : 1;
}

void fit_to_terminal(SuiteView& view) {
  const TextLook look = look_of(STDOUT_FILENO);
  view.colour = look.colour;
  view.columns = look.columns;
}

/// Takes the long ones out unless they are asked for; how many they were.
int leave_out_long(const SuiteOptions& options, std::vector<Scenario>& scenarios) {
  if (options.with_long) return 0;
  return static_cast<int>(std::erase_if(scenarios, [](const Scenario& s) { return s.is_long; }));
}

/// What was not run keeps its record; what is gone is dropped only by a run of everything.
void accept(const SuiteOptions& options, SuiteRecord record, const std::vector<SuiteRun>& runs,
            const std::vector<std::string>& gone) {
  for (const std::string& name : gone) record.erase(name);
  for (const SuiteRun& run : runs) record[run.scenario.name] = run.figures;
  write_whole_file(record_path(options), to_text(record));
}

/// Recorded scenarios that have no file any more: not those that were left out this time.
std::vector<std::string> without_file(const SuiteOptions& options, std::vector<std::string> names) {
  std::erase_if(names, [&](const std::string& name) {
    return std::filesystem::exists(options.folder + "/" + name + ".yaml");
  });
  return names;
}

std::string repeat_command(const SuiteOptions& options) {
  std::string command = "rimebench suite " + shell_word(options.folder);
  if (!options.only.empty()) command += " --only " + shell_word(options.only);
  if (options.with_long) command += " --long";
  if (options.claims_only) command += " --claims-only";
  if (options.node != "inproc") command += " --node " + shell_word(options.node);
  return command;
}

struct SuiteOutlets {
  std::optional<ReportFile> report;
  std::ostream& out;
};

void write_files(const SuiteOptions& options, const std::vector<SuiteRun>& runs,
                 const SuiteView& view, SuiteOutlets& outlets) {
  if (outlets.report) {
    outlets.report->write(suite_dossier(runs, view, repeat_command(options)));
  }
  if (!options.junit.empty()) write_whole_file(options.junit, suite_junit(runs, view));
  if (!options.json.empty() && options.json != "-") {
    write_whole_file(options.json, suite_json(runs, view));
  }
  outlets.out << (options.json == "-" ? suite_json(runs, view) : suite_terminal(runs, view));
}

}  // namespace

ExitCode suite_command(const SuiteOptions& options, std::ostream& out, std::ostream& err) {
  auto scenarios = load_scenarios(files_of(options), {}, err);
  const auto record = read_record(options, err);
  if (!scenarios || !record) return ExitCode::kBadInput;
  SuiteOutlets outlets{{}, out};
  if (!begin_report(options.report, outlets.report, err)) return ExitCode::kBadInput;
  SuiteView view{options.folder, !options.claims_only && !record->empty(), {}, 0, 100, false};
  view.left_out = leave_out_long(options, *scenarios);
  fit_to_terminal(view);
  std::vector<SuiteRun> runs = run_suite(
      std::move(*scenarios),
      [&](const Scenario& scenario) { return open_node(options.node, scenario.plant.happens); },
      jobs_of(options));
  if (view.compared) view.gone = without_file(options, compare_with(*record, runs));
  const bool any_lost = std::ranges::any_of(runs, proves_nothing);
  if (options.accept && !any_lost) {
    accept(options, *record, runs, view.gone);
    write_files(options, runs, view, outlets);
    err << fmt::format("accepted: {}\n", record_path(options));
    return std::ranges::all_of(runs, &SuiteRun::as_claimed) ? ExitCode::kPass : ExitCode::kFail;
  }
  write_files(options, runs, view, outlets);
  const bool unrecorded = record->empty() && !options.claims_only;
  if (unrecorded) err << "there is no record yet: --accept writes one\n";
  if (!all_well(runs, view)) return any_lost ? ExitCode::kInconclusive : ExitCode::kFail;
  return unrecorded ? ExitCode::kInconclusive : ExitCode::kPass;
}

}  // namespace rimebench
