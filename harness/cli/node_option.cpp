#include "harness/cli/node_option.hpp"

#include <charconv>
#include <stdexcept>

#include "harness/cli/inproc_node.hpp"
#include "harness/link/tcp_node.hpp"

namespace rimebench {

std::optional<HostPort> parse_host_port(const std::string& text) {
  const std::size_t colon = text.rfind(':');
  if (colon == std::string::npos) return std::nullopt;
  std::string host = text.substr(0, colon);
  if (host.size() > 2 && host.front() == '[' && host.back() == ']') {
    host = host.substr(1, host.size() - 2);
  } else if (host.find_first_of("[]:") != std::string::npos) {
    return std::nullopt;
  }
  std::uint16_t port = 0;
  const char* const end = text.data() + text.size();
  const auto [stopped, error] = std::from_chars(text.data() + colon + 1, end, port);
  if (host.empty() || error != std::errc{} || stopped != end) return std::nullopt;
  return HostPort{host, port};
}

std::unique_ptr<Node> open_node(const std::string& option) {
  if (option == "inproc") return std::make_unique<InprocNode>();
  const std::string tcp = "tcp:";
  if (option.starts_with(tcp)) {
    const auto address = parse_host_port(option.substr(tcp.size()));
    if (!address || address->port == 0) {
      throw std::invalid_argument("--node " + option +
                                  ": expected tcp:HOST:PORT with a port from 1 to 65535, such as "
                                  "tcp:127.0.0.1:7000");
    }
    return std::make_unique<TcpNode>(TcpAddress{address->host, address->port});
  }
  throw std::invalid_argument("--node " + option + ": expected inproc or tcp:HOST:PORT");
}

}  // namespace rimebench
