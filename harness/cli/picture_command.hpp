#pragma once

#include <cstdint>
#include <iosfwd>
#include <string>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

struct PictureOptions {
  std::string trace;
  std::int64_t container{};
  std::string svg;  ///< FILE; empty: lanes in the terminal alone
};

/// `rimebench picture TRACE --container N`: one container's timing, from the sensor to the seam.
ExitCode picture_command(const PictureOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimebench
