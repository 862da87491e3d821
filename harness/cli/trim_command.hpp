#pragma once

#include <iosfwd>
#include <string>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

struct TrimOptions {
  std::string file;      ///< CSV of punctured packs
  std::string scenario;  ///< the line, the product, the recipe in use and the limits
  std::string recipe;    ///< FILE for the next recipe; empty for none
  double within_kpa{};   ///< certainty wanted of a place's mean; 0: an eighth of the tolerance
  double confidence_percent{95.0};
};

/// `rimebench trim`: from punctured packs to the line's constants and the next recipe, with a
/// sampling sheet for the next round. Fail, and no recipe, if the next one breaks the hot or the
/// shortest-wait check; inconclusive for a drink that foams.
ExitCode trim_command(const TrimOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimebench
