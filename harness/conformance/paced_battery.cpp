#include "harness/conformance/paced_battery.hpp"

#include "harness/conformance/paced_checks.hpp"

namespace rimebench {

BatteryReport run_paced_battery(const OpenPaced& open, const Patience& patience, bool thorough) {
  const std::span<const PacedCheck> thorough_too =
      thorough ? paced_thorough_checks() : std::span<const PacedCheck>{};
  return run_checks(PacedBench{open, patience},
                    {paced_frame_checks(), paced_time_checks(), thorough_too});
}

}  // namespace rimebench
