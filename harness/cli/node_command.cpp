#include "harness/cli/node_command.hpp"

#include <ostream>
#include <stdexcept>

#include "firmware_sim/port/node_server.hpp"
#include "firmware_sim/port/paced_server.hpp"
#include "firmware_sim/port/stdio_server.hpp"
#include "harness/cli/node_option.hpp"

namespace rimebench {

namespace {

/// Throws std::invalid_argument.
ServeAddress address_of(const NodeOptions& options) {
  if (options.stdio || options.listen.empty() == options.serial.empty()) {
    throw std::invalid_argument(
        "rimebench: node: expected one of --listen HOST:PORT, --listen unix:PATH, --serial DEV and "
        "--stdio");
  }
  if (!options.serial.empty()) {
    try {
      const DeviceBaud serial = parse_serial(options.serial);
      return SerialLine{serial.device, serial.baud};
    } catch (const std::invalid_argument& error) {
      throw std::invalid_argument("--serial " + options.serial + ": " + error.what());
    }
  }
  const std::string socket = "unix:";
  if (options.listen.starts_with(socket) && options.listen.size() > socket.size()) {
    return ListenPath{options.listen.substr(socket.size())};
  }
  const auto address = parse_host_port(options.listen);
  if (!address) {
    throw std::invalid_argument("--listen " + options.listen +
                                ": expected HOST:PORT, such as 127.0.0.1:7000, or unix:PATH");
  }
  return ListenAddress{address->host, address->port};
}

}  // namespace

ExitCode node_command(const NodeOptions& options, std::ostream& out, std::ostream& err) {
  if (options.stdio && options.listen.empty() && options.serial.empty() && !options.paced) {
    serve_stdio();
    return ExitCode::kPass;
  }
  try {
    const ServeAddress address = address_of(options);
    options.paced ? serve_paced(address, options.once, out) : serve(address, options.once, out);
  } catch (const std::invalid_argument& error) {
    err << error.what() << '\n';
    return ExitCode::kBadInput;
  } catch (const std::runtime_error& error) {
    err << error.what() << '\n';
    return ExitCode::kBadInput;
  }
  return ExitCode::kPass;
}

}  // namespace rimebench
