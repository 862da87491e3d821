#pragma once

#include <iosfwd>
#include <string>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

struct FitOptions {
  std::string file;    ///< CSV of weighings, or of a balance's readings
  std::string recipe;  ///< FILE for what was fitted, as the base of a recipe; empty for none
  double confidence_percent{95.0};
};

/// `rimebench fit`: from weighings (open_us, shots, mass_g, head_mm where there are several) to the
/// valve's calibration, or from a balance's readings (time_s, mass_g) to the boil-off. Fail if the
/// weighings do not lie on a line; the fit is printed all the same.
ExitCode fit_command(const FitOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimebench
