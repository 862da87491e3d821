#pragma once

#include <chrono>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "harness/link/byte_stream.hpp"
#include "harness/link/node.hpp"
#include "plant_model/spec/happening.hpp"

namespace rimebench {

struct HostPort {
  std::string host;
  std::uint16_t port{};
};

/// HOST:PORT, where an IPv6 host stands in brackets. Nothing if it is not one.
std::optional<HostPort> parse_host_port(const std::string& text);

struct DeviceBaud {
  std::string device;
  std::uint32_t baud{};
};

/// DEV[,BAUD], 115200 baud where none is given. Throws std::invalid_argument, with the list of the
/// rates that a serial port takes if BAUD is none of them.
DeviceBaud parse_serial(const std::string& text);

/// The bare link to a node: `tcp:HOST:PORT`, `unix:PATH`, `serial:DEV[,BAUD]`, or `exec:COMMAND`,
/// which is started and talked to over its standard input and output. Throws
/// std::invalid_argument, saying what is wrong, on any other text, and StreamError if there is
/// nobody there within `patience`.
std::unique_ptr<ByteStream> open_stream(const std::string& option,
                                        std::chrono::milliseconds patience = kSilenceMax);

/// The controller under test that `--node` names: one of these, `inproc`, or one that is there to
/// fail: `stand_in:always_reject`, `stand_in:never_dose`, `stand_in:fixed_delay`. Its link fails as
/// `happens` has it, and what runs in process gets one to that end. It is given up after
/// `silence_max` without an answer. Throws std::invalid_argument, and LinkError if there is no node
/// there.
std::unique_ptr<Node> open_node(const std::string& option, const Happenings& happens = {},
                                std::chrono::milliseconds silence_max = kSilenceMax);

}  // namespace rimebench
