#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "harness/link/node.hpp"

namespace rimebench {

struct HostPort {
  std::string host;
  std::uint16_t port{};
};

/// HOST:PORT, where an IPv6 host stands in brackets. Nothing if it is not one.
std::optional<HostPort> parse_host_port(const std::string& text);

/// The controller under test that `--node` names: `inproc`, or `tcp:HOST:PORT`. Throws
/// std::invalid_argument, saying what is wrong, on any other text, and LinkError if there is no
/// node at that address.
std::unique_ptr<Node> open_node(const std::string& option);

}  // namespace rimebench
