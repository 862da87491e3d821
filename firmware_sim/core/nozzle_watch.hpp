#pragma once

#include "firmware_sim/core/container_queue.hpp"
#include "firmware_sim/core/moment.hpp"

namespace rimebench {

/// Whether liquid let go now can meet a container.
struct NozzleView {
  bool clear;  ///< no container is under the nozzle, nor can one be before the liquid is down
  Length changes_at;  ///< belt position at which that may change; kNowhere: not by travel alone
};

/// Looks at every tracked container, and at one that stands in front of the sensor but is not
/// admitted yet (`at_sensor`). `open_for`: how long the valve is still to be open. A container
/// counts from nozzle_clear before its leading edge to as much behind its trailing edge, and
/// earlier by what the belt travels, at its present speed, until the shot has landed and the valve
/// has rested. What stood between sensor and nozzle before the core could see it is the operator's
/// to clear.
NozzleView look_at_nozzle(const Moment& moment, const ContainerQueue& queue, bool at_sensor,
                          Duration open_for);

}  // namespace rimebench
