#include "harness/conformance/battery.hpp"

#include <algorithm>

#include "harness/conformance/checks.hpp"

namespace rimebench {

std::size_t BatteryReport::count(CheckOutcome outcome) const {
  return static_cast<std::size_t>(std::ranges::count(
      results, outcome, [](const CheckResult& result) { return result.outcome; }));
}

BatteryReport run_battery(const OpenStream& open, const Patience& patience, bool thorough) {
  const std::span<const Check> thorough_too =
      thorough ? thorough_checks() : std::span<const Check>{};
  return run_checks(Bench{open, patience}, {session_checks(), frame_checks(), grant_checks(),
                                            controller_checks(), thorough_too});
}

}  // namespace rimebench
