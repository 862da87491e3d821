#include "harness/cli/node_command.hpp"

#include <ostream>
#include <stdexcept>

#include "firmware_sim/port/tcp_server.hpp"
#include "harness/cli/node_option.hpp"

namespace rimebench {

ExitCode node_command(const NodeOptions& options, std::ostream& out, std::ostream& err) {
  const auto address = parse_host_port(options.listen);
  if (!address) {
    err << "--listen " << options.listen << ": expected HOST:PORT, such as 127.0.0.1:7000\n";
    return ExitCode::kBadInput;
  }
  try {
    serve_tcp({address->host, address->port}, options.once, out);
  } catch (const std::runtime_error& error) {
    err << error.what() << '\n';
    return ExitCode::kBadInput;
  }
  return ExitCode::kPass;
}

}  // namespace rimebench
