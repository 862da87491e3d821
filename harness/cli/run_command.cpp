#include "harness/cli/run_command.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <memory>
#include <optional>
#include <ostream>

#include "harness/campaign/recorder.hpp"
#include "harness/cli/node_option.hpp"
#include "harness/cli/progress.hpp"
#include "harness/cli/report_file.hpp"
#include "harness/cli/scenario_files.hpp"
#include "harness/cli/shell_word.hpp"
#include "harness/cli/terminal.hpp"
#include "harness/config/number.hpp"
#include "harness/dossier/pressure_plot.hpp"
#include "harness/dossier/run_dossier.hpp"
#include "harness/judge/paced_text.hpp"
#include "harness/judge/verdict_json.hpp"
#include "harness/judge/verdict_text.hpp"
#include "harness/session/lockstep.hpp"
#include "harness/trace/output_file.hpp"

namespace rimebench {

namespace {

std::string repeat_command(const RunOptions& options, const std::string& file,
                           const Scenario& scenario) {
  std::string command =
      fmt::format("rimebench run {} --seed {}", shell_word(file), scenario.plant.seed);
  if (options.node != "inproc") command += " --node " + shell_word(options.node);
  if (!options.grant_changes.empty()) command += " --grant-changes " + options.grant_changes;
  if (options.paced.on) {
    command += fmt::format(" --paced --late-us-max {}", options.paced.budget_us);
    if (options.paced.lock_memory) command += " --lock-memory";
    if (options.paced.realtime) command += " --realtime";
  }
  return command;
}

/// Where there is no node, `lost` says why: a lost link from the first moment on.
std::unique_ptr<Node> find_node(const RunOptions& options, const Happenings& happens,
                                std::string& lost) {
  try {
    return open_node(options.node, happens, std::chrono::milliseconds(options.silence_ms));
  } catch (const LinkError& error) {
    lost = error.what();
  }
  return nullptr;
}

/// What is written once the run is over.
struct Results {
  std::optional<OutputFile> json;
  std::optional<ReportFile> report;
  std::optional<RunLog> log;
  std::optional<PressurePlot> plot;
};

/// Files are begun before the run, so that one that cannot be written is known at once.
void begin_results(const RunOptions& options, const Scenario& scenario, Results& results,
                   Recorder& recorder) {
  if (!options.json.empty() && options.json != "-") results.json.emplace(options.json);
  if (options.plot) recorder.tell_too(results.plot.emplace(scenario));
  if (options.report.empty()) return;
  results.report.emplace(options.report);
  recorder.tell_too(results.log.emplace(scenario));
}

void begin_files(const RunOptions& options, const Scenario& scenario, Recorder& recorder) {
  if (!options.trace.empty()) {
    recorder.keep_trace(
        std::make_unique<TraceWriter>(options.trace, scenario.plant.seed, scenario.resolved_text));
  }
  if (!options.ledger.empty()) {
    recorder.keep_ledger(std::make_unique<LedgerCsvWriter>(options.ledger));
  }
}

/// Behind the reason why a run was lost.
std::string kept_text(const RunOptions& options) {
  if (options.trace.empty()) return {};
  return fmt::format("; the trace so far is kept in {}.partial", options.trace);
}

Verdict run_scenario(const RunOptions& options, const GrantCut& cut, const Scenario& scenario,
                     Results& results, std::ostream& err) {
  std::string lost;
  const auto node = find_node(options, scenario.plant.happens, lost);
  Recorder recorder(scenario);
  LockstepResult result;
  begin_results(options, scenario, results, recorder);
  if (node) {
    begin_files(options, scenario, recorder);
    std::optional<Progress> progress;
    if (is_terminal(STDERR_FILENO)) progress.emplace(recorder, scenario.plant.feed, err);
    RunSink& sink = progress ? static_cast<RunSink&>(*progress) : recorder;
    try {
      run_lockstep(scenario.plant, *node, cut, sink, result);
    } catch (const LinkError& error) {
      lost = error.what() + kept_text(options);
    }
  }
  return recorder.finish(result.end, result.exchanges, lost);
}

Verdict run_scenario_paced(const RunOptions& options, const Scenario& scenario, Results& results,
                           std::ostream& err) {
  PacedOutcome outcome;
  std::unique_ptr<ByteStream> stream;
  const Happenings& happens = scenario.plant.happens;
  try {
    if (happens.core_hang || happens.core_restart || happens.link_fault) {
      outcome.lost =
          "a core that hangs or restarts and a link that fails are played in lockstep, not paced";
    } else {
      stream = open_stream(options.node);
    }
  } catch (const StreamError& error) {
    outcome.lost = "node at " + options.node + ": " + error.what();
  }
  Recorder recorder(scenario);
  begin_results(options, scenario, results, recorder);
  if (stream) {
    begin_files(options, scenario, recorder);
    outcome = run_paced_scenario(options.paced, std::move(stream), scenario, recorder);
    if (!outcome.lost.empty()) outcome.lost += kept_text(options);
  }
  err << outcome.refused;
  return recorder.finish(outcome.end, outcome.exchanges, outcome.lost);
}

struct Outlets {
  std::ostream& out;
  std::ostream& err;
};

ExitCode run_and_show(const RunOptions& options, const GrantCut& cut, const Scenario& scenario,
                      const std::string& file, const Outlets& outlets) {
  Results results;
  const Verdict verdict = options.paced.on
                              ? run_scenario_paced(options, scenario, results, outlets.err)
                              : run_scenario(options, cut, scenario, results, outlets.err);
  const std::string repeat = repeat_command(options, file, scenario);
  if (results.json) {
    results.json->write(to_json(scenario, verdict));
    results.json->close();
  }
  if (results.report) {
    results.report->write(run_dossier(scenario, verdict, *results.log, repeat));
  }
  if (options.json == "-") {
    outlets.out << to_json(scenario, verdict);
    // People want to see how late a run was, even where a program reads the verdict.
    if (verdict.paced) outlets.err << paced_text(*verdict.paced);
  } else {
    outlets.out << to_terminal(scenario, verdict, repeat, look_of(STDOUT_FILENO));
    if (results.plot) outlets.out << "\n" << results.plot->text();
  }
  return exit_code(verdict.outcome);
}

ExitCode worse(ExitCode a, ExitCode b) {
  const auto rank = [](ExitCode code) { return code == ExitCode::kFail ? 3 : number(code); };
  return rank(a) >= rank(b) ? a : b;
}

}  // namespace

ExitCode run_command(const RunOptions& options, std::ostream& out, std::ostream& err) {
  const bool writes = !(options.json + options.trace + options.ledger + options.report).empty();
  if (writes && options.files.size() > 1) {
    err << "rimebench: --json, --trace, --ledger and --report take one scenario at a time\n";
    return ExitCode::kBadInput;
  }
  if (const std::string problem = ReportFile::problem(options.report); !problem.empty()) {
    err << "rimebench: " << problem << "\n";
    return ExitCode::kBadInput;
  }
  if (options.paced.on && (options.node == "inproc" || !options.grant_changes.empty())) {
    err << "rimebench: --paced needs a --node outside the bench, and takes no --grant-changes\n";
    return ExitCode::kBadInput;
  }
  const auto cut = options.grant_changes.empty() ? std::optional<GrantCut>{GrantCut{}}
                                                 : parse_grant_cut(options.grant_changes);
  if (!cut) {
    err << fmt::format("rimebench: --grant-changes: {} is not a number above 0, all or random\n",
                       options.grant_changes);
    return ExitCode::kBadInput;
  }
  ScenarioOverrides overrides;
  std::string problem;
  if (!options.seed.empty()) {
    overrides.seed = parse_seed(options.seed, problem);
    if (!overrides.seed) {
      err << fmt::format("rimebench: --seed: {}\n", problem);
      return ExitCode::kBadInput;
    }
  }
  const auto scenarios = load_scenarios(options.files, overrides, err);
  if (!scenarios) return ExitCode::kBadInput;
  ExitCode worst = ExitCode::kPass;
  for (std::size_t i = 0; i < scenarios->size(); ++i) {
    if (i > 0) out << "\n";
    worst =
        worse(worst, run_and_show(options, *cut, (*scenarios)[i], options.files[i], {out, err}));
  }
  return worst;
}

}  // namespace rimebench
