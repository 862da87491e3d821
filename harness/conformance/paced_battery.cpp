#include "harness/conformance/paced_battery.hpp"

#include "harness/conformance/paced_checks.hpp"

namespace rimebench {

namespace {

CheckResult result_of(const PacedCheck& check, const PacedBench& bench) {
  CheckResult result{check.name, check.rule, CheckOutcome::kPassed, {}};
  try {
    check.run(bench);
  } catch (const CheckFailed& failure) {
    result.outcome = CheckOutcome::kFailed;
    result.why = failure.what();
  } catch (const StreamError& error) {
    result.outcome = CheckOutcome::kNotRun;
    result.why = error.what();
  }
  return result;
}

/// Why no session can be begun; nothing if it can. Fills in what the node says of itself.
std::optional<std::string> introduce(const PacedBench& bench, BatteryReport& report) {
  try {
    const auto probe = bench.connect();
    report.capacity = probe->greet().capacity;
    report.node_name = probe->node_name();
  } catch (const std::runtime_error& error) {
    return error.what();
  }
  return std::nullopt;
}

}  // namespace

BatteryReport run_paced_battery(const OpenPaced& open, const Patience& patience, bool thorough) {
  const PacedBench bench{open, patience};
  BatteryReport report;
  const auto obstacle = introduce(bench, report);
  const auto run = [&](std::span<const PacedCheck> checks) {
    for (const PacedCheck& check : checks) {
      report.results.push_back(
          obstacle ? CheckResult{check.name, check.rule, CheckOutcome::kNotRun, *obstacle}
                   : result_of(check, bench));
    }
  };
  run(paced_frame_checks());
  run(paced_time_checks());
  if (thorough) run(paced_thorough_checks());
  return report;
}

}  // namespace rimebench
