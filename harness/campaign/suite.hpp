#pragma once

/// A folder of scenarios, each run on its own, several at a time. The result does not depend on how
/// many: every run has its own plant, node and judge.

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "harness/campaign/suite_record.hpp"
#include "harness/link/node.hpp"

namespace rimebench {

/// One scenario of the suite and what it came to.
struct SuiteRun {
  Scenario scenario;
  Verdict verdict;
  RunFigures figures;
  bool as_claimed{};
  bool recorded{};                   ///< the record knows it
  std::vector<std::string> changes;  ///< against the record; empty if as recorded
};

/// True where the verdict is the one that the claim means; a failure is an escape's only if bad
/// containers did escape, and a lost link is one only if it was lost where the scenario has it.
bool as_claimed(const Scenario& scenario, const Verdict& verdict);

/// It was lost, or came to no verdict, and should not have.
inline bool proves_nothing(const SuiteRun& run) {
  return run.verdict.outcome == Outcome::kInconclusive && !run.as_claimed;
}

/// The controller under test, for a run of this scenario.
using OpenNode = std::function<std::unique_ptr<Node>(const Scenario&)>;

/// Runs them all, in their order, `jobs` at a time. A link that is lost makes its run
/// inconclusive; whatever else is thrown is thrown on once all have ended.
std::vector<SuiteRun> run_suite(std::vector<Scenario> scenarios, const OpenNode& open, int jobs);

/// Fills in what changed. Returns the recorded scenarios that are gone.
std::vector<std::string> compare_with(const SuiteRecord& record, std::vector<SuiteRun>& runs);

}  // namespace rimebench
