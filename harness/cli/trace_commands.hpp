#pragma once

#include <iosfwd>
#include <string>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

/// `rimebench judge TRACE`: the JSON of the run that wrote it, byte for byte. A trace without its
/// end is judged as far as it goes: inconclusive.
ExitCode judge_command(const std::string& trace, std::ostream& out, std::ostream& err);

/// `rimebench diff A B`: the first signal change in which two traces differ, with up to ten before
/// it. Pass if there is none, fail if there is.
ExitCode diff_command(const std::string& a, const std::string& b, std::ostream& out);

}  // namespace rimebench
