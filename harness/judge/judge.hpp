#pragma once

/// Expectations to a verdict: a fold over the recorded stream in constant memory. The same stream
/// gives the same verdict, however changes and rows interleave and whether they come from a run or
/// a trace.

#include <optional>
#include <vector>

#include "firmware_sim/contract/signal_change.hpp"
#include "harness/judge/container_limit.hpp"
#include "harness/judge/dose_error.hpp"
#include "harness/judge/reactions.hpp"
#include "harness/judge/run_findings.hpp"
#include "harness/judge/stop_losses.hpp"
#include "harness/judge/valve_watch.hpp"
#include "harness/judge/verdict.hpp"

namespace rimebench {

/// How the run ended.
struct RunEnd {
  std::uint64_t digest{};
  std::uint64_t signal_changes{};
  std::uint64_t exchanges{};
  Instant end{};
  std::string lost;  ///< empty: it ran to its end; else why it did not
};

class Judge {
 public:
  /// `scenario` must outlive the judge.
  explicit Judge(const Scenario& scenario);

  void on_change(const SignalChange& change);
  void on_row(const LedgerRow& row);
  /// Once, after the last of them.
  Verdict finish(const RunEnd& end);

 private:
  void on_alarm(const SignalChange& change);
  void on_counter(const SignalChange& change);
  void on_witness(const SignalChange& change);
  void on_valve(const SignalChange& command);
  void count_doses(const LedgerRow& row);
  void count_hot(const LedgerRow& row);
  void count_good_side(const LedgerRow& row);
  void count_escape(const LedgerRow& row);
  void finish_figures(const RunEnd& end);
  void finish_findings();
  void finish_outcome(const RunEnd& end);
  Finding alarm_finding() const;

  const Scenario& scenario_;
  Verdict verdict_;
  std::vector<ContainerLimit> limits_;
  DoseError dose_error_;
  StopLosses stops_;
  Reactions reactions_;
  ValveWatch valve_;
  std::vector<std::int64_t> counters_;  ///< by Counter
  std::int32_t alarm_{0};
  Instant alarm_at_{};
  FaultsRaised raised_;
  Firsts firsts_;
};

}  // namespace rimebench
