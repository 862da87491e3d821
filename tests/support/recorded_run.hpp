#pragma once

#include <vector>

#include "harness/session/lockstep.hpp"
#include "harness/trace/digest.hpp"

namespace rimebench::test {

/// Everything that a run leaves behind, in memory.
struct RecordedRun final : RunSink {
  std::vector<SignalChange> changes;
  std::vector<LedgerRow> rows;
  TraceDigest digest;
  LockstepResult result;

  void on_change(const SignalChange& change) override {
    changes.push_back(change);
    digest.add(change);
  }
  void on_row(const LedgerRow& row) override { rows.push_back(row); }

  RunProof proof() const { return digest.proof(result.end); }

  /// The changes of one channel.
  std::vector<SignalChange> of(Channel channel) const {
    std::vector<SignalChange> found;
    for (const SignalChange& change : changes) {
      if (change.channel == channel) found.push_back(change);
    }
    return found;
  }
};

inline RecordedRun record(const PlantSpec& spec, Node& node, const GrantCut& cut = {}) {
  RecordedRun run;
  run_lockstep(spec, node, cut, run, run.result);
  return run;
}

}  // namespace rimebench::test
