#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "harness/judge/judge.hpp"
#include "harness/trace/digest.hpp"
#include "harness/trace/ledger_csv.hpp"
#include "harness/trace/writer.hpp"
#include "plant_model/line/run_sink.hpp"

namespace rimebench {

/// Everything that listens to a run: the digest, the judge and, where asked for, the files.
class Recorder final : public RunSink {
 public:
  explicit Recorder(const Scenario& scenario) : judge_(scenario) {}

  void keep_trace(std::unique_ptr<TraceWriter> trace) { trace_ = std::move(trace); }
  void keep_ledger(std::unique_ptr<LedgerCsvWriter> ledger) { ledger_ = std::move(ledger); }

  /// Hears all that the files do; it must outlive the recorder.
  void tell_too(RunSink& listener) { listeners_.push_back(&listener); }

  void on_change(const SignalChange& change) override {
    digest_.add(change);
    judge_.on_change(change);
    if (trace_) trace_->add(change);
    for (RunSink* const listener : listeners_) listener->on_change(change);
  }
  void on_row(const LedgerRow& row) override {
    judge_.on_row(row);
    if (trace_) trace_->add(row);
    if (ledger_) ledger_->add(row);
    for (RunSink* const listener : listeners_) listener->on_row(row);
  }

  /// Closes the files and gives the verdict. A run that was lost keeps its files as FILE.partial.
  Verdict finish(Instant end, std::uint64_t exchanges, const std::string& lost) {
    const RunProof proof = digest_.proof(end);
    if (lost.empty()) {
      if (trace_) trace_->close(proof, exchanges);
      if (ledger_) ledger_->close();
    }
    return judge_.finish({proof.digest, proof.changes, exchanges, end, lost});
  }

 private:
  TraceDigest digest_;
  Judge judge_;
  std::unique_ptr<TraceWriter> trace_;
  std::unique_ptr<LedgerCsvWriter> ledger_;
  std::vector<RunSink*> listeners_;
};

}  // namespace rimebench
