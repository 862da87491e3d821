#pragma once

#include <cstdint>
#include <iosfwd>
#include <string>
#include <vector>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

struct IntakeCaptureOptions {
  std::string file;                ///< VCD, or a table of levels
  std::vector<std::string> wires;  ///< WIRE=CHANNEL, WIRE=!CHANNEL
  std::int64_t debounce_us{0};
  std::string trace;  ///< FILE for the signal changes; empty for none
  std::string json;   ///< FILE or -
};

/// `rimebench intake capture`: what an analyser saw becomes a trace, which replays and compares as
/// any other; it has no scenario, so it cannot be judged.
ExitCode intake_capture_command(const IntakeCaptureOptions& options, std::ostream& out,
                                std::ostream& err);

struct ExportOptions {
  std::string trace;
  std::string vcd;
  bool wires_only{false};
};

/// `rimebench export`: a trace for other tools.
ExitCode export_command(const ExportOptions& options, std::ostream& out);

}  // namespace rimebench
