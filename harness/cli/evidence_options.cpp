#include "harness/cli/evidence_options.hpp"

#include "harness/cli/report_option.hpp"

namespace rimebench {

CLI::App* add_intake_speed(CLI::App& intake, IntakeSpeedOptions& speed) {
  CLI::App* command =
      intake.add_subcommand("speed", "A speed log, as loggers write it, to a speed profile.");
  command->add_option("FILE", speed.file, "the log; what LOG.choices.yaml says is taken as chosen")
      ->type_name("");
  command->add_option("--choose", speed.choices, "fix how the log is read; --keys lists the keys")
      ->type_name("KEY=VALUE");
  command->add_flag("--keys", speed.keys, "list every key of --choose and its valid values");
  command
      ->add_option("--profile", speed.profile, "write what a scenario takes as speed: {log: FILE}")
      ->type_name("FILE");
  command
      ->add_option("--choices", speed.choices_file, "write all choices, made and inferred (YAML)")
      ->type_name("FILE");
  command->add_option("--svg", speed.svg, "draw the speed over time")->type_name("FILE");
  command
      ->add_option("--json", speed.json,
                   "the figures, decisions and tallies; - for standard output")
      ->type_name("FILE");
  return command;
}

CLI::App* add_intake_capture(CLI::App& intake, IntakeCaptureOptions& capture) {
  CLI::App* command = intake.add_subcommand(
      "capture", "What a logic analyser saw (VCD, .sr, or a table of levels) to a trace.");
  command->add_option("FILE", capture.file, "the capture")->required()->type_name("");
  command
      ->add_option("--wire", capture.wires,
                   "a wire's channel, with ! if low is 1; a wire with a channel's name has it")
      ->type_name("WIRE=[!]CHANNEL");
  command->add_option("--debounce-us", capture.debounce_us, "leave out levels that hold for less")
      ->check(CLI::Range(0, 1'000'000))
      ->type_name("US");
  command->add_option("--trace", capture.trace, "write the signal changes")->type_name("FILE");
  command->add_option("--json", capture.json, "what became of each wire; - for standard output")
      ->type_name("FILE");
  return command;
}

CLI::App* add_audit(CLI::App& app, AuditOptions& audit) {
  CLI::App* command =
      app.add_subcommand("audit", "What a real line did, from a capture, against its recipe.");
  command->add_option("CAPTURE", audit.file, "VCD, .sr, a table of levels, or a trace")
      ->required()
      ->type_name("");
  command->add_option("--line", audit.line, "the line's file")->type_name("FILE");
  command->add_option("--recipe", audit.recipe, "the recipe that the line ran")->type_name("FILE");
  command->add_option("--scenario", audit.scenario, "takes line and recipe from a scenario")
      ->type_name("FILE");
  command->add_option("--wire", audit.wires, "a wire's channel, as of intake capture")
      ->type_name("WIRE=[!]CHANNEL");
  command->add_option("--debounce-us", audit.debounce_us, "leave out levels that hold for less")
      ->check(CLI::Range(0, 1'000'000))
      ->type_name("US");
  command
      ->add_option("--within-us", audit.within_us,
                   "edges of line and controller agree that are no further apart (500)")
      ->check(CLI::Range(0, 1'000'000))
      ->type_name("US");
  command->add_option("--recipe-out", audit.recipe_out, "write the corrected recipe, whole")
      ->type_name("FILE");
  command->add_option("--node", audit.node, "as of run; inproc if not given")->type_name("NODE");
  add_report(command, audit.report);
  command->add_option("--json", audit.json, "all figures; - for standard output")
      ->type_name("FILE");
  return command;
}

}  // namespace rimebench
