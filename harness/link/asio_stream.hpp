#pragma once

/// The streams that Asio gives. Each throws StreamError, naming the address, if nobody is there
/// within `patience`.

#include <chrono>
#include <cstdint>
#include <memory>
#include <string>

#include "harness/link/byte_stream.hpp"

namespace rimebench {

struct TcpAddress {
  std::string host;
  std::uint16_t port{};
};

/// 8 data bits, no parity, 1 stop bit, no flow control.
struct SerialAddress {
  std::string device;
  std::uint32_t baud{};
};

std::unique_ptr<ByteStream> connect_tcp(const TcpAddress& address,
                                        std::chrono::milliseconds patience = kSilenceMax);
/// The socket file of a node on this machine.
std::unique_ptr<ByteStream> connect_unix(const std::string& path,
                                         std::chrono::milliseconds patience = kSilenceMax);
/// What had arrived before is thrown away.
std::unique_ptr<ByteStream> open_serial(const SerialAddress& address);

}  // namespace rimebench
