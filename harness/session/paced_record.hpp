#pragma once

/// What a paced run leaves in the stream. The plant moves with the pins, so what it records as an
/// output is the pin's change, a witness; the output itself stands at the time it was due, which is
/// the controller's own affair and what the digest covers.

#include <vector>

#include "plant_model/line/run_sink.hpp"

namespace rimebench {

class PacedRecord final : public RunSink {
 public:
  /// `sink` must outlive the record.
  explicit PacedRecord(RunSink& sink) : sink_(sink) {}

  /// From the plant: everything but outputs passes on, in canonical order, with the next flush.
  void on_change(const SignalChange& change) override;
  void on_row(const LedgerRow& row) override { sink_.on_row(row); }

  /// An output at the time it was due, or a witness of the run itself.
  void add(const SignalChange& change) { changes_.push_back(change); }

  /// Nothing more comes for the instants before the last of these.
  void flush();

 private:
  RunSink& sink_;
  std::vector<SignalChange> changes_;
};

}  // namespace rimebench
