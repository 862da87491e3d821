#include "harness/cli/paced_run.hpp"

#include "harness/link/paced_stream.hpp"
#include "harness/session/paced.hpp"

namespace rimebench {

namespace {

/// What the system did not grant, a line each: the run goes on without it.
std::string ask_system(const PacedOptions& options) {
  std::string refused;
  const auto note = [&](const std::string& why) {
    if (!why.empty()) refused += "  " + why + "; the run went on without\n";
  };
  if (options.lock_memory) note(lock_memory());
  if (options.realtime) note(take_realtime_priority());
  return refused;
}

}  // namespace

PacedOutcome run_paced_scenario(const PacedOptions& options, std::unique_ptr<ByteStream> stream,
                                const Scenario& scenario, Recorder& recorder) {
  PacedOutcome outcome;
  PacedResult result;
  const Duration budget{options.budget_us};
  try {
    PacedNode paced(make_paced(std::move(stream)));
    const std::string refused = ask_system(options);
    try {
      run_paced(scenario.plant, paced, recorder, result);
      outcome.lost = over_budget(result, budget);
    } catch (const LinkError& error) {
      outcome.lost = error.what();
    }
    if (result.input.count > 0) outcome.text = to_text(result, budget) + refused;
  } catch (const LinkError& error) {
    outcome.lost = error.what();
  }
  outcome.end = result.end;
  outcome.exchanges = result.exchanges;
  return outcome;
}

}  // namespace rimebench
