#pragma once

#include <memory>
#include <span>

#include "harness/conformance/paced_battery.hpp"
#include "harness/conformance/paced_probe.hpp"

namespace rimebench {

struct PacedBench {
  OpenPaced open;
  Patience patience;

  /// A new connection; it has not said hello yet.
  std::unique_ptr<PacedProbe> connect() const {
    return std::make_unique<PacedProbe>(open(), patience);
  }
  /// And now it has.
  std::unique_ptr<PacedProbe> greeted() const {
    auto probe = connect();
    probe->greet();
    return probe;
  }
};

struct PacedCheck {
  const char* name;
  const char* rule;
  void (*run)(const PacedBench& bench);  ///< throws CheckFailed or StreamError
};

/// Sessions, bytes and frames, what must be refused.
std::span<const PacedCheck> paced_frame_checks();
/// Stamps, outputs, silence.
std::span<const PacedCheck> paced_time_checks();
/// Those that take many thousand exchanges.
std::span<const PacedCheck> paced_thorough_checks();

}  // namespace rimebench
