#include "harness/cli/node_command.hpp"

#include <ostream>
#include <stdexcept>

#include "firmware_sim/port/tcp_server.hpp"
#include "harness/cli/node_option.hpp"

namespace rimebench {

namespace {
constexpr int kOk = 0;
constexpr int kBadInput = 3;
}  // namespace

int node_command(const NodeOptions& options, std::ostream& out, std::ostream& err) {
  const auto address = parse_host_port(options.listen);
  if (!address) {
    err << "--listen " << options.listen << ": expected HOST:PORT, such as 127.0.0.1:7000\n";
    return kBadInput;
  }
  try {
    serve_tcp({address->host, address->port}, options.once, out);
  } catch (const std::runtime_error& error) {
    err << error.what() << '\n';
    return kBadInput;
  }
  return kOk;
}

}  // namespace rimebench
