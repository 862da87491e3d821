#include "harness/cli/picture_command.hpp"

#include <fmt/format.h>

#include <ostream>

#include "harness/cli/container_timing.hpp"
#include "harness/trace/output_file.hpp"

namespace rimebench {

ExitCode picture_command(const PictureOptions& options, std::ostream& out, std::ostream& err) {
  std::string problem;
  const auto picture = container_timing(options.trace, options.container, problem);
  if (!picture) {
    err << fmt::format("{}: --container: {}\n", options.trace, problem);
    return ExitCode::kBadInput;
  }
  out << to_lanes(*picture);
  if (!options.svg.empty()) {
    write_whole_file(options.svg, to_svg(*picture));
    out << fmt::format("\nwritten to {}\n", options.svg);
  }
  return ExitCode::kPass;
}

}  // namespace rimebench
