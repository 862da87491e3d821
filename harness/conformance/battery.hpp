#pragma once

/// The battery for any node: each check looks at one rule of PROTOCOL.md. It knows nothing of how a
/// controller doses; what it asks of a controller is what the page asks of every one.

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "harness/conformance/probe.hpp"

namespace rimebench {

/// Opens a connection to the node anew. Throws StreamError if there is none to be had.
using OpenStream = std::function<std::unique_ptr<ByteStream>()>;

enum class CheckOutcome : std::uint8_t { kPassed, kFailed, kNotRun };

struct CheckResult {
  std::string name;  ///< one word
  std::string rule;  ///< in a sentence without its full stop
  CheckOutcome outcome{};
  std::string why;  ///< not passed
};

struct BatteryReport {
  std::string node_name;
  std::size_t capacity{};
  std::vector<CheckResult> results;

  std::size_t count(CheckOutcome outcome) const;
};

/// Runs every check, each in a session of its own; `thorough` adds those of many thousand
/// exchanges. Where the node does not even greet, the others are not run.
BatteryReport run_battery(const OpenStream& open, const Patience& patience, bool thorough);

}  // namespace rimebench
