#pragma once

#include <iosfwd>
#include <string>
#include <vector>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

struct CheckOptions {
  std::vector<std::string> files;
  bool keys{};  ///< list every key instead
};

/// `rimebench check`: validates and runs nothing.
ExitCode check_command(const CheckOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimebench
