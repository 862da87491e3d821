#include "harness/dossier/run_log.hpp"

#include <algorithm>

namespace rimebench {

RunLog::RunLog(const Scenario& scenario)
    : fall_(fall_to_drink(scenario.plant.line.nozzle, scenario.plant.product)),
      shots_(scenario.plant),
      containers_(scenario),
      pictures_([this](const LedgerRow& row) {
        return draw_container(row, signals_.around(row), fall_);
      }) {}

void RunLog::on_change(const SignalChange& change) {
  while (!waiting_.empty() && waiting_.front().due < change.at) {
    settle(waiting_.front().row);
    waiting_.pop_front();
  }
  shots_.on_change(change);
  signals_.on_change(change);
  lanes_.on_change(change);
  samples_.on_change(change);
}

void RunLog::on_row(const LedgerRow& row) {
  const Instant before = waiting_.empty() ? Instant{} : waiting_.back().due;
  waiting_.push_back({row, std::max(before, Instant{std::max(row.gate_us, row.seam_us)})});
}

void RunLog::settle(const LedgerRow& row) {
  containers_.on_row(row, shots_.take(row.container));
  pictures_.on_row(row);
  lanes_.on_row(row);
}

void RunLog::finish() {
  for (const Waiting& waiting : waiting_) settle(waiting.row);
  waiting_.clear();
}

}  // namespace rimebench
