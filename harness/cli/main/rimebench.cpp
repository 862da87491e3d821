/// The command: parses options, calls one function. The only place that sees everything.

#include <CLI/CLI.hpp>
#include <cstdio>
#include <cstdlib>
#include <iostream>

#include "firmware_sim/units/demand.hpp"
#include "harness/cli/check_command.hpp"
#include "harness/cli/node_command.hpp"
#include "harness/cli/run_command.hpp"
#include "harness/cli/trace_commands.hpp"
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
  std::string trace;
  std::string other_trace;
};

constexpr const char* kRunHelp =
    "Runs each scenario against the controller and says whether it is right.";
constexpr const char* kFooter =
    "Exit codes: 0 pass, 1 fail, 2 inconclusive, 3 bad input, 4 internal. README.md has more.";

void add_run(CLI::App& app, RunOptions& run) {
  CLI::App* command = app.add_subcommand("run", kRunHelp);
  command->add_option("FILE", run.files, "scenario files (YAML)")->required();
  command->add_option("--json", run.json, "write the verdict as JSON to FILE, - for the terminal");
  command->add_option("--trace", run.trace, "keep every signal change and ledger row in FILE");
  command->add_option("--ledger", run.ledger, "keep one row a container in FILE (CSV)");
  command->add_option("--seed", run.seed, "seed of chance, over the scenario's own");
  command->add_option("--node", run.node, "controller under test: inproc or tcp:HOST:PORT");
  command->add_option("--grant-changes", run.grant_changes,
                      "inputs a grant: a number, all or random; the digest must not care");
}

void add_others(CLI::App& app, Options& options) {
  CLI::App* check = app.add_subcommand("check", "Validates scenario files and runs nothing.");
  check->add_option("FILE", options.check.files, "scenario files (YAML)");
  check->add_flag("--keys", options.check.keys, "list every key with its range, unit and meaning");
  CLI::App* judge = app.add_subcommand("judge", "Judges a stored trace: the JSON of its run.");
  judge->add_option("TRACE", options.trace, "trace file")->required();
  CLI::App* diff =
      app.add_subcommand("diff", "The first signal change in which two traces differ.");
  diff->add_option("A", options.trace, "trace file")->required();
  diff->add_option("B", options.other_trace, "trace file")->required();
  CLI::App* node = app.add_subcommand("node", "Serves the controller to a bench elsewhere.");
  node->add_option("--listen", options.node.listen, "HOST:PORT; port 0 takes a free one")
      ->required();
  node->add_flag("--once", options.node.once, "end after the first bench has left");
}

ExitCode dispatch(const CLI::App& app, const Options& options) {
  if (app.got_subcommand("run")) return run_command(options.run, std::cout, std::cerr);
  if (app.got_subcommand("check")) return check_command(options.check, std::cout, std::cerr);
  if (app.got_subcommand("judge")) return judge_command(options.trace, std::cout, std::cerr);
  if (app.got_subcommand("diff")) {
    return diff_command(options.trace, options.other_trace, std::cout);
  }
  return static_cast<ExitCode>(node_command(options.node, std::cout, std::cerr));
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("The bench for liquid-nitrogen dose controllers: a line, a controller, a verdict.");
  app.require_subcommand(1);
  app.footer(kFooter);
  Options options;
  add_run(app, options.run);
  add_others(app, options);
  try {
    app.parse(argc, argv);
    return number(dispatch(app, options));
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : number(ExitCode::kBadInput);
  } catch (const TraceError& error) {
    std::cerr << "rimebench: " << error.what() << "\n";
    return number(ExitCode::kBadInput);
  } catch (const std::invalid_argument& error) {
    std::cerr << "rimebench: " << error.what() << "\n";
    return number(ExitCode::kBadInput);
  } catch (const std::exception& error) {
    std::cerr << "rimebench: internal: " << error.what() << "\n";
    return number(ExitCode::kInternal);
  }
}
