#pragma once

/// All that a run's report needs, gathered in one pass as the run goes by: it listens as the files
/// of a run do. Memory grows by a fixed number of bytes a container and with what went wrong.

#include <deque>

#include "harness/config/scenario.hpp"
#include "harness/dossier/container_log.hpp"
#include "harness/dossier/lane_log.hpp"
#include "harness/dossier/picture_choice.hpp"
#include "harness/dossier/sample_log.hpp"
#include "harness/dossier/shot_times.hpp"
#include "harness/dossier/signal_memory.hpp"
#include "plant_model/line/run_sink.hpp"

namespace rimebench {

class RunLog final : public RunSink {
 public:
  /// `scenario` must outlive it.
  explicit RunLog(const Scenario& scenario);
  RunLog(const RunLog&) = delete;
  RunLog& operator=(const RunLog&) = delete;

  /// Changes in canonical order; a row may come before the changes of its own time.
  void on_change(const SignalChange& change) override;
  void on_row(const LedgerRow& row) override;
  /// Once, after the last of them.
  void finish();

  const ContainerLog& containers() const { return containers_; }
  const PictureChoice& pictures() const { return pictures_; }
  const LaneLog& lanes() const { return lanes_; }
  const SampleLog& samples() const { return samples_; }

 private:
  struct Waiting {
    LedgerRow row;
    Instant due;  ///< all that led to it is known once a change after this has come
  };

  void settle(const LedgerRow& row);

  Duration fall_;
  ShotFinder shots_;
  SignalMemory signals_;
  ContainerLog containers_;
  PictureChoice pictures_;
  LaneLog lanes_;
  SampleLog samples_;
  std::deque<Waiting> waiting_;
};

}  // namespace rimebench
