#pragma once

/// One container's timing from the signals around it.

#include <vector>

#include "harness/report/timing_picture.hpp"
#include "plant_model/spec/ledger.hpp"

namespace rimebench {

/// First thing known of it: the sensor's edge, or where touching containers showed none, the next.
Instant first_seen(const LedgerRow& row);

/// From there to the seam, with a margin on either side.
TimeSpan whole_way(const LedgerRow& row);

/// What crossed the wires meanwhile, the neighbours' too.
struct ContainerSignals {
  std::vector<Stretch> sensor;
  std::vector<Stretch> pulses;
  std::vector<Stretch> command;
  std::vector<Stretch> opening;   ///< the valve itself
  std::vector<Instant> landings;  ///< of this container: a shot's last liquid in it
};

/// `fall`: from the nozzle to the drink, zero where it is not known; then a line that fires the
/// next shot while this one falls may be given the wrong one.
TimingPicture draw_container(const LedgerRow& row, ContainerSignals signals, Duration fall);

}  // namespace rimebench
