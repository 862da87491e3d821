#pragma once

/// Every container of a run, kept for its report: it listens as the files of a run do, and holds a
/// fixed number of bytes a container.

#include <cstdint>
#include <deque>
#include <vector>

#include "harness/config/scenario.hpp"
#include "harness/dossier/shot_times.hpp"
#include "harness/report/document.hpp"
#include "plant_model/line/run_sink.hpp"

namespace rimebench {

class ContainerLog final : public RunSink {
 public:
  /// `scenario` must outlive it.
  explicit ContainerLog(const Scenario& scenario);

  /// Changes in canonical order; a row may come before the changes of its own time.
  void on_change(const SignalChange& change) override;
  void on_row(const LedgerRow& row) override;

  /// Once, after the last of them.
  ContainersBlock finish();

  /// What the report keeps of one container.
  struct Kept {
    LedgerRow row;
    Instant seen;  ///< the sensor's edge, or the first that is known of it
    ShotTimes shot;
  };

 private:
  struct Waiting {
    LedgerRow row;
    Instant due;  ///< all that led to it is known once a change after this has come
  };

  void keep(const LedgerRow& row);
  std::vector<ColumnLimit> limits() const;

  const Scenario& scenario_;
  ShotFinder shots_;
  std::deque<Waiting> waiting_;
  std::vector<Kept> kept_;
};

}  // namespace rimebench
