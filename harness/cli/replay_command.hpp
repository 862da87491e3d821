#pragma once

#include <iosfwd>
#include <string>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

/// `rimebench replay`: the inputs of a stored trace to a controller, its answers against the stored
/// ones. Pass if they are the same; fail at the first difference, shown with what came before it;
/// inconclusive if the trace has no end or the link is lost.
ExitCode replay_command(const std::string& trace, const std::string& node, std::ostream& out,
                        std::ostream& err);

}  // namespace rimebench
