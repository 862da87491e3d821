#include "harness/cli/node_check_command.hpp"

#include <fmt/format.h>

#include <ostream>
#include <stdexcept>

#include "harness/cli/node_option.hpp"
#include "harness/conformance/paced_battery.hpp"
#include "harness/link/paced_stream.hpp"

namespace rimebench {

namespace {

const char* mark(CheckOutcome outcome) {
  switch (outcome) {
    case CheckOutcome::kPassed:
      return "ok  ";
    case CheckOutcome::kFailed:
      return "FAIL";
    case CheckOutcome::kNotRun:
      return "?   ";
  }
  return "";
}

}  // namespace

std::string battery_text(const std::string& node, const BatteryReport& report) {
  std::string text = fmt::format("node at {}", node);
  if (report.capacity > 0) {
    text += fmt::format(": \"{}\", takes {} changes at once", report.node_name, report.capacity);
  }
  text += "\n\n";
  std::string said;
  for (const CheckResult& result : report.results) {
    text += fmt::format("  {}  {:<10}  {}\n", mark(result.outcome), result.name, result.rule);
    if (!result.why.empty() && result.why != said) text += fmt::format("        {}\n", result.why);
    said = result.why;
  }
  return text + fmt::format(
                    "\n{} kept, {} broken, {} not looked at\n", report.count(CheckOutcome::kPassed),
                    report.count(CheckOutcome::kFailed), report.count(CheckOutcome::kNotRun));
}

ExitCode node_check_command(const NodeCheckOptions& options, std::ostream& out) {
  if (options.node == "inproc") {
    throw std::invalid_argument("--node inproc: there is no link to hold to the protocol");
  }
  Patience patience;
  patience.answer = std::chrono::milliseconds(options.silence_ms);
  const auto open = [&] { return open_stream(options.node, patience.answer); };
  const BatteryReport report = options.paced ? run_paced_battery([&] { return make_paced(open()); },
                                                                 patience, options.thorough)
                                             : run_battery(open, patience, options.thorough);
  out << battery_text(options.node, report);
  if (report.count(CheckOutcome::kFailed) > 0) return ExitCode::kFail;
  return report.count(CheckOutcome::kNotRun) > 0 ? ExitCode::kInconclusive : ExitCode::kPass;
}

}  // namespace rimebench
