#pragma once

#include <cstdint>
#include <iosfwd>
#include <string>

#include "harness/cli/exit_code.hpp"
#include "harness/conformance/battery.hpp"

namespace rimebench {

struct NodeCheckOptions {
  std::string node;
  std::int64_t silence_ms{kSilenceMax.count()};  ///< over one answer
  bool thorough{};                               ///< also the checks of many thousand exchanges
  bool paced{};                                  ///< by the rules of a paced session
};

/// `rimebench node-check`: holds any node to PROTOCOL.md, rule by rule. Pass if it keeps them all,
/// fail if it breaks one, inconclusive if some could not be looked at and none was found broken.
ExitCode node_check_command(const NodeCheckOptions& options, std::ostream& out);

/// What was found, a line a rule.
std::string battery_text(const std::string& node, const BatteryReport& report);

}  // namespace rimebench
