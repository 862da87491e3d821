#pragma once

#include <string>

#include "harness/judge/verdict.hpp"

namespace rimebench {

/// A figure of this finding with its unit, pressures in psi as well; a fault by its name.
std::string figure_text(const Finding& finding, double value);

/// The worst that was measured, or that nothing was.
std::string measured_text(const Finding& finding);

/// "at least 167.0 kPa (24.2 psi)".
std::string limit_text(const Finding& finding);

/// "96 of 396; first at 16.629 s: container 3, place 3, 166.7 kPa (24.2 psi), cause wait"; empty
/// where there is no more to say than the figure.
std::string breach_text(const Finding& finding);

/// Why this finding is no pass, in one sentence; its parts are parted by "; ".
std::string reason_text(const Finding& finding);

}  // namespace rimebench
