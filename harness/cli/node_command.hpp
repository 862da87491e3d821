#pragma once

#include <iosfwd>
#include <string>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

struct NodeOptions {
  std::string listen{};  ///< HOST:PORT, where port 0 lets the system choose, or unix:PATH
  bool once{};           ///< end after the first bench has left
  std::string serial{};  ///< DEV[,BAUD], instead of `listen`
  bool stdio{};          ///< standard input and output, instead of both, for one bench
  bool paced{};          ///< on the wall clock instead of in lockstep; not over `stdio`
};

/// `rimebench node`: the dose controller behind a socket, a serial line, or standard input and
/// output. The address really listened on is printed on `out`, but for the last. An address that is
/// none or cannot be had is bad input, with a line on `err`.
ExitCode node_command(const NodeOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimebench
