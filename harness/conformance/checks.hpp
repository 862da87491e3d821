#pragma once

#include <span>

#include "harness/conformance/bench.hpp"

namespace rimebench {

using Bench = BenchOf<Probe, OpenStream>;
using Check = CheckOf<Bench>;

/// Sessions: hello, version, goodbye.
std::span<const Check> session_checks();
/// Bytes and frames: damage, garbage, malformed messages.
std::span<const Check> frame_checks();
/// Grants: numbers, times, order, room.
std::span<const Check> grant_checks();
/// What every controller promises: outputs in order, the same however a run is cut, recipes.
std::span<const Check> controller_checks();
/// Those that take many thousand exchanges.
std::span<const Check> thorough_checks();

}  // namespace rimebench
