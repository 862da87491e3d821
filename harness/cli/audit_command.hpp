#pragma once

#include <cstdint>
#include <iosfwd>
#include <string>
#include <vector>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

struct AuditOptions {
  std::string file;  ///< a trace, a VCD, or a table of levels
  std::string line;
  std::string recipe;
  std::string scenario;            ///< in the place of both; a recipe beside it goes over its own
  std::vector<std::string> wires;  ///< as of intake capture
  std::int64_t debounce_us{0};
  std::int64_t within_us{500};  ///< the controller's edges agree that are no further apart
  std::string recipe_out;       ///< FILE for the corrected recipe; empty for none
  std::string json;             ///< FILE or -
  std::string report;           ///< FILE or empty
  std::string node{"inproc"};
};

/// `rimebench audit`: what a real line did against what its recipe asks. Fail if shots, delays,
/// latencies or the controller's edges are not as they should be, inconclusive if the capture does
/// not tell.
ExitCode audit_command(const AuditOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimebench
