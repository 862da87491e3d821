#pragma once

#include <iosfwd>
#include <string>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

struct SuiteOptions {
  std::string folder;
  std::string node{"inproc"};
  std::string only;    ///< a pattern with * and ?; empty: all
  std::string json;    ///< FILE, "-" for standard output, empty for none
  std::string junit;   ///< FILE or empty
  std::string report;  ///< FILE or empty
  int jobs{0};         ///< 0: as many as there are processors, one for a node elsewhere
  bool with_long{};
  bool accept{};
  bool claims_only{};  ///< compare nothing with the record
};

/// `rimebench suite`: all scenarios of a folder against their claims and the folder's record.
/// 0: all as claimed and as recorded; 1: one is not; 2: a run was lost, or there is no record to
/// compare with; 3: bad input, and nothing was run.
ExitCode suite_command(const SuiteOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimebench
