#pragma once

/// Expectations to a verdict: a fold over the recorded stream in constant memory. The same stream
/// gives the same verdict, however changes and rows interleave and whether they come from a run or
/// a trace.

#include <optional>

#include "firmware_sim/contract/signal_change.hpp"
#include "harness/judge/container_limit.hpp"
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
  Verdict finish(const RunEnd& end);

 private:
  void on_permit(const SignalChange& change);
  void count_place(const LedgerRow& row);
  void finish_run_limits();
  void finish_controller();
  void finish_outcome(const RunEnd& end);
  void finish_places();

  const Scenario& scenario_;
  Verdict verdict_;
  std::vector<ContainerLimit> limits_;
  std::optional<Instant> permit_lost_;  ///< while the valve is still commanded open
  bool valve_open_{false};
  std::int64_t worst_reaction_us_{0};
  Instant worst_reaction_at_{};
  std::int32_t alarm_{0};
};

}  // namespace rimebench
