#include "harness/cli/run_command.hpp"

#include <fmt/format.h>

#include <ostream>

#include "harness/cli/node_option.hpp"
#include "harness/cli/recorder.hpp"
#include "harness/cli/scenario_files.hpp"
#include "harness/judge/verdict_json.hpp"
#include "harness/judge/verdict_text.hpp"
#include "harness/session/lockstep.hpp"
#include "harness/trace/output_file.hpp"

namespace rimebench {

namespace {

std::string repeat_command(const RunOptions& options, const std::string& file,
                           const Scenario& scenario) {
  std::string command = fmt::format("rimebench run {} --seed {}", file, scenario.plant.seed);
  if (options.node != "inproc") command += " --node " + options.node;
  if (!options.grant_changes.empty()) command += " --grant-changes " + options.grant_changes;
  return command;
}

Verdict run_scenario(const RunOptions& options, const GrantCut& cut, const Scenario& scenario) {
  Recorder recorder(scenario);
  if (!options.trace.empty()) {
    recorder.keep_trace(
        std::make_unique<TraceWriter>(options.trace, scenario.plant.seed, scenario.resolved_text));
  }
  if (!options.ledger.empty()) {
    recorder.keep_ledger(std::make_unique<LedgerCsvWriter>(options.ledger));
  }
  LockstepResult result;
  std::string lost;
  try {
    const auto node = open_node(options.node);
    run_lockstep(scenario.plant, *node, cut, recorder, result);
  } catch (const LinkError& error) {
    lost = error.what();
  }
  return recorder.finish(result.end, result.exchanges, lost);
}

void show(const RunOptions& options, const std::string& file, const Scenario& scenario,
          const Verdict& verdict, std::ostream& out) {
  const std::string json = options.json.empty() ? "" : to_json(scenario, verdict);
  if (options.json == "-") {
    out << json;
    return;
  }
  if (!options.json.empty()) write_whole_file(options.json, json);
  out << to_terminal(scenario, verdict, repeat_command(options, file, scenario));
}

ExitCode worse(ExitCode a, ExitCode b) {
  const auto rank = [](ExitCode code) { return code == ExitCode::kFail ? 3 : number(code); };
  return rank(a) >= rank(b) ? a : b;
}

}  // namespace

ExitCode run_command(const RunOptions& options, std::ostream& out, std::ostream& err) {
  const bool writes = !(options.json + options.trace + options.ledger).empty();
  if (writes && options.files.size() > 1) {
    err << "rimebench: --json, --trace and --ledger take one scenario at a time\n";
    return ExitCode::kBadInput;
  }
  const auto cut = options.grant_changes.empty() ? std::optional<GrantCut>{GrantCut{}}
                                                 : parse_grant_cut(options.grant_changes);
  if (!cut) {
    err << fmt::format("rimebench: --grant-changes: {} is not a number above 0, all or random\n",
                       options.grant_changes);
    return ExitCode::kBadInput;
  }
  const auto scenarios = load_scenarios(options.files, {options.seed}, err);
  if (!scenarios) return ExitCode::kBadInput;
  ExitCode worst = ExitCode::kPass;
  for (std::size_t i = 0; i < scenarios->size(); ++i) {
    const Scenario& scenario = (*scenarios)[i];
    const Verdict verdict = run_scenario(options, *cut, scenario);
    if (i > 0) out << "\n";
    show(options, options.files[i], scenario, verdict, out);
    worst = worse(worst, exit_code(verdict.outcome));
  }
  return worst;
}

}  // namespace rimebench
