#pragma once

#include <iosfwd>
#include <string>

namespace rimebench {

struct NodeOptions {
  std::string listen;  ///< HOST:PORT; port 0 lets the system choose
  bool once{};         ///< end after the first bench has left
};

/// `rimebench node`: the dose controller behind a TCP port, for a bench elsewhere. The address
/// really listened on is printed on `out`. Returns the exit code: 0, or 3 with a line on `err` for
/// an address that is none or cannot be had.
int node_command(const NodeOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimebench
