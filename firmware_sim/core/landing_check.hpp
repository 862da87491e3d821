#pragma once

#include "firmware_sim/core/belt.hpp"
#include "firmware_sim/core/container_queue.hpp"
#include "firmware_sim/core/counters.hpp"
#include "firmware_sim/core/recipe.hpp"

namespace rimebench {

/// The belt between two pulses, known only once the second has come.
struct PulseSpan {
  Instant from;
  Instant to;
  Length start;  ///< position at `from`
};

/// A container is placed, and its shot aimed, by the belt as its last pulses told. The next pulse
/// tells where the belt really was: a belt that stopped or sped up in between has the container
/// elsewhere. Flags and counts every container that was seen, or whose shot landed, in the span and
/// further off than the recipe allows; true if there is one.
bool check_landings(const PulseSpan& span, const Belt& belt, const Recipe& recipe,
                    ContainerQueue& queue, Counters& counters);

}  // namespace rimebench
