#pragma once

#include <functional>
#include <memory>
#include <span>

#include "harness/conformance/battery.hpp"

namespace rimebench {

/// What a check works with.
struct Bench {
  OpenStream open;
  Patience patience;

  /// A new connection; it has not said hello yet.
  std::unique_ptr<Probe> connect() const { return std::make_unique<Probe>(open(), patience); }
  /// And now it has.
  std::unique_ptr<Probe> greeted() const {
    auto probe = connect();
    probe->greet();
    return probe;
  }
};

struct Check {
  const char* name;
  const char* rule;
  void (*run)(const Bench& bench);  ///< throws CheckFailed or StreamError
};

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
