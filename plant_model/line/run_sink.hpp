#pragma once

#include "firmware_sim/contract/signal_change.hpp"
#include "plant_model/spec/ledger.hpp"

namespace rimebench {

/// Takes what a run leaves behind: every signal change in canonical order, and a row for each
/// container as it passes the gate.
class RunSink {
 public:
  virtual ~RunSink() = default;
  virtual void on_change(const SignalChange& change) = 0;
  virtual void on_row(const LedgerRow& row) = 0;
};

}  // namespace rimebench
