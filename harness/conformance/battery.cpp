#include "harness/conformance/battery.hpp"

#include <algorithm>

#include "harness/conformance/checks.hpp"

namespace rimebench {

namespace {

CheckResult result_of(const Check& check, const Bench& bench) {
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
std::optional<std::string> introduce(const Bench& bench, BatteryReport& report) {
  try {
    const auto probe = bench.connect();
    const HelloReplyMessage reply = probe->greet();
    report.capacity = reply.capacity;
    report.node_name.assign(reply.name.begin(), reply.name.end());
  } catch (const std::runtime_error& error) {
    return error.what();
  }
  return std::nullopt;
}

}  // namespace

std::size_t BatteryReport::count(CheckOutcome outcome) const {
  return static_cast<std::size_t>(std::ranges::count(
      results, outcome, [](const CheckResult& result) { return result.outcome; }));
}

BatteryReport run_battery(const OpenStream& open, const Patience& patience, bool thorough) {
  const Bench bench{open, patience};
  BatteryReport report;
  const auto obstacle = introduce(bench, report);
  const auto run = [&](std::span<const Check> checks) {
    for (const Check& check : checks) {
      report.results.push_back(
          obstacle ? CheckResult{check.name, check.rule, CheckOutcome::kNotRun, *obstacle}
                   : result_of(check, bench));
    }
  };
  run(session_checks());
  run(frame_checks());
  run(grant_checks());
  run(controller_checks());
  if (thorough) run(thorough_checks());
  return report;
}

}  // namespace rimebench
