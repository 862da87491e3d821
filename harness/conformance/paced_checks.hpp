#pragma once

#include <span>

#include "harness/conformance/bench.hpp"
#include "harness/conformance/paced_battery.hpp"
#include "harness/conformance/paced_probe.hpp"

namespace rimebench {

using PacedBench = BenchOf<PacedProbe, OpenPaced>;
using PacedCheck = CheckOf<PacedBench>;

/// Sessions, bytes and frames, what must be refused.
std::span<const PacedCheck> paced_frame_checks();
/// Stamps, outputs, silence.
std::span<const PacedCheck> paced_time_checks();
/// Those that take many thousand exchanges.
std::span<const PacedCheck> paced_thorough_checks();

}  // namespace rimebench
