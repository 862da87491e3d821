#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "harness/report/timing_picture.hpp"

namespace rimebench {

/// Finds a container in a trace and what belongs to it: its ledger row gives the times, the signals
/// around them the rest. Nothing, and why in `problem`, if it has no row.
std::optional<TimingPicture> container_timing(const std::string& trace, std::int64_t container,
                                              std::string& problem);

}  // namespace rimebench
