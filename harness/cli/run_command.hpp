#pragma once

#include <iosfwd>
#include <string>
#include <vector>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

struct RunOptions {
  std::vector<std::string> files;
  std::string json;    ///< FILE, "-" for standard output, empty for none
  std::string trace;   ///< FILE or empty
  std::string ledger;  ///< FILE or empty
  std::string node{"inproc"};
  std::string grant_changes;  ///< empty: the usual
  std::string seed;           ///< empty: the scenario's own
};

/// `rimebench run`: each scenario against the controller. Every option and every file is checked
/// before anything is run or written. Returns the worst verdict: fail before inconclusive before
/// pass.
ExitCode run_command(const RunOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimebench
