#pragma once

/// Every container of a run, kept for its report: a fixed number of bytes each.

#include <cstdint>
#include <vector>

#include "harness/config/scenario.hpp"
#include "harness/dossier/shot_times.hpp"
#include "harness/report/document.hpp"
#include "plant_model/spec/ledger.hpp"

namespace rimebench {

class ContainerLog {
 public:
  /// `scenario` must outlive it.
  explicit ContainerLog(const Scenario& scenario) : scenario_(scenario) {}

  void on_row(const LedgerRow& row, const ShotTimes& shot);

  ContainersBlock block() const;
  /// Mean time for which the valve was open for a container's first shot; zero if there was none.
  Duration mean_opening() const;

  /// What the report keeps of one container.
  struct Kept {
    LedgerRow row;
    Instant seen;  ///< the sensor's edge, or the first that is known of it
    ShotTimes shot;
  };

 private:
  std::vector<ColumnLimit> limits() const;

  const Scenario& scenario_;
  std::vector<Kept> kept_;
};

}  // namespace rimebench
