#include "harness/cli/paced_run.hpp"

#include "harness/link/paced_stream.hpp"
#include "harness/session/paced.hpp"

namespace rimebench {

namespace {

/// Asks the system for what an option asks for; `refused` gains a line if it says no.
SystemGrant ask(bool wanted, const char* option, std::string (*take)(), std::string& refused) {
  if (!wanted) return SystemGrant::kNotAsked;
  const std::string why = take();
  if (why.empty()) return SystemGrant::kGranted;
  refused += "rimebench: " + std::string(option) + ": " + why + "; the run goes on without\n";
  return SystemGrant::kRefused;
}

}  // namespace

PacedOutcome run_paced_scenario(const PacedOptions& options, std::unique_ptr<ByteStream> stream,
                                const Scenario& scenario, Recorder& recorder) {
  PacedOutcome outcome;
  PacedResult result;
  PacedTerms terms{.late_max = Duration{options.budget_us}};
  try {
    PacedNode paced(make_paced(std::move(stream)));
    terms.lock_memory = ask(options.lock_memory, "--lock-memory", lock_memory, outcome.refused);
    terms.realtime = ask(options.realtime, "--realtime", take_realtime_priority, outcome.refused);
    run_paced(scenario.plant, paced, terms, recorder, result);
  } catch (const LinkError& error) {
    outcome.lost = error.what();
  }
  outcome.end = result.end;
  outcome.exchanges = result.exchanges;
  return outcome;
}

}  // namespace rimebench
