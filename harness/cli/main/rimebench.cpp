/// The command: parses options, calls one function. The only place that sees everything.

#include <CLI/CLI.hpp>
#include <cstdio>
#include <cstdlib>
#include <iostream>

#include "firmware_sim/units/demand.hpp"
#include "harness/cli/check_command.hpp"
#include "harness/cli/compare_command.hpp"
#include "harness/cli/evidence_options.hpp"
#include "harness/cli/fit_command.hpp"
#include "harness/cli/node_check_command.hpp"
#include "harness/cli/node_command.hpp"
#include "harness/cli/picture_command.hpp"
#include "harness/cli/plan_command.hpp"
#include "harness/cli/replay_command.hpp"
#include "harness/cli/report_option.hpp"
#include "harness/cli/run_command.hpp"
#include "harness/cli/suite_command.hpp"
#include "harness/cli/trace_commands.hpp"
#include "harness/cli/trim_command.hpp"
#include "harness/trace/trace_error.hpp"

using namespace rimebench;

void rimebench::panic(const char* file, int line) noexcept {
  std::fprintf(stderr, "rimebench: internal check failed at %s:%d\n", file, line);
  std::_Exit(number(ExitCode::kInternal));
}

namespace {

struct Options {
  RunOptions run;
  CheckOptions check;
  NodeOptions node;
  NodeCheckOptions node_check;
  FitOptions fit;
  PlanOptions plan;
  TrimOptions trim;
  PictureOptions picture;
  IntakeSpeedOptions intake_speed;
  IntakeCaptureOptions intake_capture;
  ExportOptions to_export;
  AuditOptions audit;
  CompareOptions compare;
  SuiteOptions suite;
  std::string trace;
  std::string other_trace;
  std::string replay_node{"inproc"};
};

constexpr const char* kSummary =
    "rimebench: proves a liquid-nitrogen dose controller against a model of the packaging line.";
constexpr const char* kFooter = R"(Examples:
  rimebench check scenario.yaml                   is the file right? every mistake with its place
  rimebench check --keys                          every key, with its range, unit and meaning
  rimebench run scenario.yaml                     the verdict, for people
  rimebench run scenario.yaml --trace run.trace   keeps all that crossed the wires
  rimebench plan plan.yaml --recipe recipe.yaml   the dose for a target, and its recipe
  rimebench fit weighings.csv --recipe valve.yaml the valve's calibration, for a recipe's from:
  rimebench trim packs.csv --scenario line.yaml   from punctured packs to the next recipe
  rimebench picture run.trace --container 41      that container's timing
  rimebench node --listen 127.0.0.1:7000          the controller, for a bench elsewhere:
  rimebench run scenario.yaml --node tcp:127.0.0.1:7000

Exit codes: 0 pass, 1 fail, 2 inconclusive (link lost, nothing shown, trial required),
  3 bad input (nothing was run), 4 internal; of diff: 0 the same, 1 different

rimebench COMMAND --help lists a command's options.)";
constexpr const char* kCodes =
    "Exit codes: 0 pass, 1 fail, 2 inconclusive, 3 bad input, 4 internal.";

CLI::App* add_command(CLI::App& app, const char* name, const char* summary) {
  CLI::App* command = app.add_subcommand(name, summary);
  command->footer(kCodes);
  return command;
}

void add_run(CLI::App& app, RunOptions& run) {
  CLI::App* command = add_command(app, "run", "Runs scenarios against the controller: a verdict.");
  command->add_option("FILE", run.files, "scenario files (YAML)")->required()->type_name("");
  command->add_option("--json", run.json, "write the verdict as JSON; - for standard output")
      ->type_name("FILE");
  command->add_option("--trace", run.trace, "keep every signal change and ledger row")
      ->type_name("FILE");
  command->add_option("--ledger", run.ledger, "keep one row a container (CSV)")->type_name("FILE");
  add_report(command, run.report);
  command->add_flag("--plot", run.plot, "the settled pressure over time, a row for each place");
  command->add_option("--seed", run.seed, "seed of chance, over the scenario's own")
      ->type_name("NUMBER");
  command
      ->add_option("--node", run.node,
                   "controller under test: inproc, tcp:HOST:PORT, unix:PATH, serial:DEV[,BAUD] or "
                   "exec:COMMAND")
      ->type_name("NODE");
  command
      ->add_option("--grant-changes", run.grant_changes,
                   "inputs a grant: a number, all or random; the digest must not care")
      ->type_name("COUNT");
  command
      ->add_option("--silence-ms", run.silence_ms,
                   "give a node up that takes longer over one answer (10000)")
      ->check(CLI::Range(1, 3'600'000))
      ->type_name("MS");
}

void add_paced(CLI::App& app, PacedOptions& paced) {
  CLI::App* command = app.get_subcommand("run");
  command->add_flag("--paced", paced.on,
                    "on the wall clock, for hardware: no determinism claim; late is inconclusive");
  command
      ->add_option("--late-us-max", paced.budget_us,
                   "paced: an input may reach the node so late (5000)")
      ->check(CLI::Range(1, 1'000'000))
      ->type_name("US");
  command->add_flag("--lock-memory", paced.lock_memory, "paced: keep the bench's memory in place");
  command->add_flag("--realtime", paced.realtime, "paced: ask the system for real-time priority");
}

void add_others(CLI::App& app, Options& options) {
  CLI::App* check = add_command(app, "check", "Validates scenario files and runs nothing.");
  check->add_option("FILE", options.check.files, "scenario files (YAML)")->type_name("");
  check->add_flag("--keys", options.check.keys, "list every key with its range, unit and meaning");
  CLI::App* judge = add_command(app, "judge", "Judges a stored trace: the JSON of its run.");
  judge->add_option("TRACE", options.trace, "trace file")->required()->type_name("");
  CLI::App* diff = add_command(app, "diff", "The first signal change in which two traces differ.");
  diff->add_option("A", options.trace, "trace file")->required()->type_name("");
  diff->add_option("B", options.other_trace, "trace file")->required()->type_name("");
  CLI::App* compare =
      add_command(app, "compare", "One scenario under several recipes, container by container.");
  compare->add_option("FILE", options.compare.file, "scenario file")->required()->type_name("");
  compare
      ->add_option("--recipe", options.compare.recipes, "two or more; the first is the reference")
      ->required()
      ->expected(2, 26)
      ->type_name("FILE");
  add_report(compare, options.compare.report);
  compare->add_option("--json", options.compare.json, "write it as JSON; - for standard output")
      ->type_name("FILE");
  CLI::App* replay =
      add_command(app, "replay", "A trace's inputs to a controller: does it answer as it did?");
  replay->add_option("TRACE", options.trace, "trace file")->required()->type_name("");
  replay->add_option("--node", options.replay_node, "as of run; inproc if not given")
      ->type_name("NODE");
  CLI::App* node = add_command(app, "node", "Serves the controller to a bench elsewhere.");
  node->add_option("--listen", options.node.listen, "port 0 takes a free one; or unix:PATH")
      ->type_name("HOST:PORT");
  node->add_option("--serial", options.node.serial, "a serial line")->type_name("DEV[,BAUD]");
  node->add_flag("--stdio", options.node.stdio, "standard input and output, for one bench");
  node->add_flag("--once", options.node.once, "end after the first bench has left");
  node->add_flag("--paced", options.node.paced, "on the wall clock, for a bench that runs --paced");
}

void add_node_check(CLI::App& app, NodeCheckOptions& check) {
  CLI::App* command = add_command(app, "node-check", "Holds any node to the protocol, by rules.");
  command
      ->add_option("--node", check.node,
                   "tcp:HOST:PORT, unix:PATH, serial:DEV[,BAUD] or exec:COMMAND")
      ->required()
      ->type_name("NODE");
  command->add_option("--silence-ms", check.silence_ms, "for one answer (10000)")
      ->check(CLI::Range(1, 3'600'000))
      ->type_name("MS");
  command->add_flag("--thorough", check.thorough, "also what takes many thousand exchanges");
  command->add_flag("--paced", check.paced, "a paced node, by the rules of paced sessions");
}

void add_plan(CLI::App& app, PlanOptions& plan) {
  CLI::App* command = add_command(app, "plan", "Works out the dose for a target, and its dangers.");
  command->add_option("FILE", plan.file, "plan file (YAML)")->required()->type_name("");
  add_report(command, plan.report);
  command->add_option("--json", plan.json, "write the plan as JSON; - for standard output")
      ->type_name("FILE");
  command->add_option("--recipe", plan.recipe, "write the recipe, unless the plan is refused")
      ->type_name("FILE");
}

void add_confidence(CLI::App* command, double& percent) {
  command->add_option("--confidence", percent, "of the intervals, 50 to 99.9 percent")
      ->check(CLI::Range(50.0, 99.9))
      ->type_name("PERCENT");
}

void add_fit(CLI::App& app, FitOptions& fit) {
  CLI::App* command = add_command(
      app, "fit", "Fits a valve's calibration from weighings, or a boil-off from a balance.");
  command
      ->add_option("FILE", fit.file,
                   "CSV: open_us,shots,mass_g and head_mm if it varied; or time_s,mass_g")
      ->required()
      ->type_name("");
  command->add_option("--recipe", fit.recipe, "write what was fitted as the base of a recipe")
      ->type_name("FILE");
  add_confidence(command, fit.confidence_percent);
}

void add_trim(CLI::App& app, TrimOptions& trim) {
  CLI::App* command =
      add_command(app, "trim", "From punctured packs to the next recipe and a sampling sheet.");
  command
      ->add_option("READINGS", trim.file,
                   "CSV: place or head, gauge_kpa or gauge_psi, pack_c, minutes since the seam, "
                   "shaken yes or no, dead_ml of the gauge, fill_g; open_us for earlier rounds")
      ->required()
      ->type_name("");
  command->add_option("--scenario", trim.scenario, "line, product, limits and the recipe in use")
      ->required()
      ->type_name("FILE");
  command->add_option("--recipe", trim.recipe, "write the next recipe, whole")->type_name("FILE");
  command
      ->add_option(
          "--within-kpa", trim.within_kpa,
          "how surely each place's mean is wanted; an eighth of the tolerance if not given")
      ->check(CLI::Range(0.1, 1000.0))
      ->type_name("KPA");
  add_confidence(command, trim.confidence_percent);
}

void add_picture(CLI::App& app, PictureOptions& picture) {
  CLI::App* command =
      add_command(app, "picture", "One container's timing from a trace: sensor to seam.");
  command->add_option("TRACE", picture.trace, "trace file")->required()->type_name("");
  command->add_option("--container", picture.container, "its number in the ledger")
      ->required()
      ->type_name("NUMBER");
  command->add_option("--svg", picture.svg, "draw it too")->type_name("FILE");
}

void add_intake(CLI::App& app, Options& options) {
  CLI::App* intake = add_command(app, "intake", "Takes in what a real line recorded.");
  intake->require_subcommand(1);
  add_intake_speed(*intake, options.intake_speed)->footer(kCodes);
  add_intake_capture(*intake, options.intake_capture)->footer(kCodes);
  CLI::App* to_export = add_command(app, "export", "A trace for waveform viewers.");
  to_export->add_option("TRACE", options.to_export.trace, "trace file")->required()->type_name("");
  to_export->add_option("--vcd", options.to_export.vcd, "value change dump (IEEE 1364)")
      ->required()
      ->type_name("FILE");
  to_export->add_flag("--wires-only", options.to_export.wires_only,
                      "no vectors: some readers stop at the first");
}

void add_suite(CLI::App& app, SuiteOptions& suite) {
  CLI::App* command =
      add_command(app, "suite", "Runs a folder of scenarios against their claims and its record.");
  command->add_option("DIR", suite.folder, "scenarios *.yaml and their suite.record")
      ->required()
      ->type_name("");
  command->add_flag("--accept", suite.accept, "write what came out as the new record");
  command->add_option("--only", suite.only, "of this name; * and ? stand for others")
      ->type_name("PATTERN");
  command->add_flag("--long", suite.with_long, "also those that take long");
  command->add_option("--jobs", suite.jobs, "so many at a time")
      ->check(CLI::Range(1, 256))
      ->type_name("N");
  command
      ->add_option("--node", suite.node,
                   "as of run; or stand_in:always_reject, stand_in:never_dose, "
                   "stand_in:fixed_delay, which are there to fail")
      ->type_name("NODE");
  command->add_flag("--claims-only", suite.claims_only, "compare nothing with the record");
  command->add_option("--json", suite.json, "- for standard output")->type_name("FILE");
  add_report(command, suite.report);
  command->add_option("--junit", suite.junit, "one test case a scenario")->type_name("FILE");
}

ExitCode dispatch(const CLI::App& app, const Options& options) {
  if (app.got_subcommand("run")) return run_command(options.run, std::cout, std::cerr);
  if (app.got_subcommand("suite")) return suite_command(options.suite, std::cout, std::cerr);
  if (app.got_subcommand("check")) return check_command(options.check, std::cout, std::cerr);
  if (app.got_subcommand("judge")) return judge_command(options.trace, std::cout, std::cerr);
  if (app.got_subcommand("plan")) return plan_command(options.plan, std::cout, std::cerr);
  if (app.got_subcommand("fit")) return fit_command(options.fit, std::cout, std::cerr);
  if (app.got_subcommand("trim")) return trim_command(options.trim, std::cout, std::cerr);
  if (app.got_subcommand("picture")) return picture_command(options.picture, std::cout, std::cerr);
  if (app.got_subcommand("audit")) return audit_command(options.audit, std::cout, std::cerr);
  if (app.got_subcommand("compare")) {
    return compare_command(options.compare, std::cout, std::cerr);
  }
  if (app.got_subcommand("export")) return export_command(options.to_export, std::cout);
  if (app.got_subcommand("replay")) {
    return replay_command(options.trace, options.replay_node, std::cout, std::cerr);
  }
  if (app.got_subcommand("intake")) {
    const bool speed = app.get_subcommand("intake")->got_subcommand("speed");
    return speed ? intake_speed_command(options.intake_speed, std::cout, std::cerr)
                 : intake_capture_command(options.intake_capture, std::cout, std::cerr);
  }
  if (app.got_subcommand("diff")) {
    return diff_command(options.trace, options.other_trace, std::cout);
  }
  if (app.got_subcommand("node-check")) return node_check_command(options.node_check, std::cout);
  return node_command(options.node, std::cout, std::cerr);
}

int complain(const char* what, ExitCode code) {
  std::cerr << "rimebench: " << what << "\n";
  return number(code);
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app(kSummary, "rimebench");
  app.require_subcommand(1);
  app.footer(kFooter);
  Options options;
  add_run(app, options.run);
  add_paced(app, options.run.paced);
  add_suite(app, options.suite);
  add_others(app, options);
  add_node_check(app, options.node_check);
  add_plan(app, options.plan);
  add_fit(app, options.fit);
  add_trim(app, options.trim);
  add_picture(app, options.picture);
  add_intake(app, options);
  add_audit(app, options.audit)->footer(kCodes);
  try {
    app.parse(argc, argv);
    const ExitCode code = dispatch(app, options);
    if (!std::cout.flush()) return complain("standard output is full", ExitCode::kInternal);
    return number(code);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : number(ExitCode::kBadInput);
  } catch (const TraceError& error) {
    return complain(error.what(), ExitCode::kBadInput);
  } catch (const std::invalid_argument& error) {
    return complain(error.what(), ExitCode::kBadInput);
  } catch (const std::exception& error) {
    return complain(error.what(), ExitCode::kInternal);
  }
}
