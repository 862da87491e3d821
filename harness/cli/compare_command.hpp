#pragma once

#include <iosfwd>
#include <string>
#include <vector>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

struct CompareOptions {
  std::string file;  ///< scenario
  std::vector<std::string>
      recipes;         ///< recipe files, the first is what the others are held against
  std::string json;    ///< FILE or -
  std::string report;  ///< FILE or empty
};

/// `rimebench compare`: one scenario under several recipes with the same chance. The exit code is
/// that of the best verdict among them: whether there is a recipe that passes.
ExitCode compare_command(const CompareOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimebench
