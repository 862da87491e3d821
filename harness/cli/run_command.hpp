#pragma once

#include <cstdint>
#include <iosfwd>
#include <string>
#include <vector>

#include "harness/cli/exit_code.hpp"
#include "harness/cli/paced_run.hpp"
#include "harness/link/byte_stream.hpp"

namespace rimebench {

struct RunOptions {
  std::vector<std::string> files;
  std::string json;    ///< FILE, "-" for standard output, empty for none
  std::string trace;   ///< FILE or empty
  std::string ledger;  ///< FILE or empty
  std::string report;  ///< FILE.html, or FILE.json for its document alone; or empty
  bool plot{};         ///< the pressure over time, below the verdict
  std::string node{"inproc"};
  std::string grant_changes;  ///< empty: the usual
  std::string seed;           ///< empty: the scenario's own
  /// A node that takes longer over one answer is given up.
  std::int64_t silence_ms{kSilenceMax.count()};
  PacedOptions paced;  ///< on the wall clock instead of in lockstep
};

/// `rimebench run`: each scenario against the controller. Every option and every file is checked
/// before anything is run or written. Returns the worst verdict: fail before inconclusive before
/// pass.
ExitCode run_command(const RunOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimebench
