#pragma once

#include <iosfwd>
#include <string>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

struct PlanOptions {
  std::string file;
  std::string json;    ///< FILE, "-" for standard output, empty for none
  std::string recipe;  ///< FILE for the recipe as a scenario refers to it; empty for none
  std::string report;  ///< FILE or empty
};

/// `rimebench plan`: the dose for a target, and whether it is safe. Fail if the plan is refused,
/// and then no recipe is written; inconclusive where only a trial can tell.
ExitCode plan_command(const PlanOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimebench
