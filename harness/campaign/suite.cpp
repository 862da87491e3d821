#include "harness/campaign/suite.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <thread>

#include "harness/campaign/recorder.hpp"
#include "harness/session/lockstep.hpp"

namespace rimebench {

namespace {

/// Everything that a Recorder hears, and the numbers of the containers taken out and escaped.
class SuiteSink final : public RunSink {
 public:
  explicit SuiteSink(const Scenario& scenario) : recorder_(scenario) {}

  void on_change(const SignalChange& change) override { recorder_.on_change(change); }
  void on_row(const LedgerRow& row) override {
    recorder_.on_row(row);
    if (row.gate_us == 0) return;
    if (row.removed != 0) taken_out_.add(row.container);
    if (row.removed == 0 && row.bad != 0) escaped_.add(row.container);
  }

  void finish(const LockstepResult& result, const std::string& lost, SuiteRun& run) {
    run.verdict = recorder_.finish(result.end, result.exchanges, lost);
    run.figures = figures_of(run.verdict, taken_out_, escaped_);
  }

 private:
  Recorder recorder_;
  NumberRanges taken_out_;
  NumberRanges escaped_;
};

void run_one(SuiteRun& run, const OpenNode& open) {
  SuiteSink sink(run.scenario);
  LockstepResult result;
  std::string lost;
  try {
    const auto node = open(run.scenario);
    run_lockstep(run.scenario.plant, *node, {}, sink, result);
  } catch (const LinkError& error) {
    lost = error.what();
  }
  sink.finish(result, lost, run);
  run.as_claimed = as_claimed(run.scenario, run.verdict);
}

}  // namespace

bool as_claimed(const Scenario& scenario, const Verdict& verdict) {
  const Claim claim = scenario.claim;
  if (verdict.outcome != expected_outcome(claim)) return false;
  if (claim == Claim::kEscape) return verdict.escapes.count > 0;
  if (claim == Claim::kLost)
    return verdict.lost && verdict.end == scenario.plant.happens.link_fault->at;
  return !verdict.lost;
}

std::vector<SuiteRun> run_suite(std::vector<Scenario> scenarios, const OpenNode& open, int jobs) {
  std::vector<SuiteRun> runs(scenarios.size());
  for (std::size_t i = 0; i < runs.size(); ++i) runs[i].scenario = std::move(scenarios[i]);
  std::vector<std::exception_ptr> thrown(runs.size());
  std::atomic<std::size_t> next{0};
  const auto work = [&] {
    for (std::size_t i = next++; i < runs.size(); i = next++) {
      try {
        run_one(runs[i], open);
      } catch (...) {
        thrown[i] = std::current_exception();
      }
    }
  };
  {
    std::vector<std::jthread> others;
    for (int n = 1; n < jobs; ++n) others.emplace_back(work);
    work();
  }
  for (const std::exception_ptr& error : thrown) {
    if (error) std::rethrow_exception(error);
  }
  return runs;
}

std::vector<std::string> compare_with(const SuiteRecord& record, std::vector<SuiteRun>& runs) {
  std::vector<std::string> gone;
  for (const auto& [name, figures] : record) {
    const auto run = std::ranges::find(
        runs, name, [](const SuiteRun& r) -> const std::string& { return r.scenario.name; });
    if (run == runs.end()) {
      gone.push_back(name);
      continue;
    }
    run->recorded = true;
    run->changes = changes_between(figures, run->figures);
  }
  return gone;
}

}  // namespace rimebench
