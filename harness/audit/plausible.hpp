#pragma once

#include "firmware_sim/contract/parameter.hpp"
#include "harness/audit/captured_line.hpp"

namespace rimebench {

/// Throws std::invalid_argument, with what to do about it, where the capture cannot be what it is
/// said to be: no sensor or valve wire, a wire upside down, times in another unit.
void demand_plausible(const CapturedLine& line, const RecipeValues& recipe);

}  // namespace rimebench
