#include "harness/cli/node_option.hpp"

#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <stdexcept>

#include "firmware_sim/stand_in/stand_in.hpp"
#include "harness/cli/inproc_node.hpp"
#include "harness/cli/loopback_stream.hpp"
#include "harness/link/asio_stream.hpp"
#include "harness/link/exec_stream.hpp"
#include "harness/link/framed_node.hpp"
#include "harness/session/faulty_link.hpp"

namespace rimebench {

namespace {

constexpr std::uint32_t kBaudUsual = 115'200;
/// What a serial port takes; any other rate the system refuses without saying why.
constexpr std::array<std::uint32_t, 21> kBauds{
    1'200,     2'400,     4'800,     9'600,     19'200,    38'400,    57'600,
    115'200,   230'400,   460'800,   500'000,   576'000,   921'600,   1'000'000,
    1'152'000, 1'500'000, 2'000'000, 2'500'000, 3'000'000, 3'500'000, 4'000'000};

/// The whole text as a number of that type.
template <class Number>
std::optional<Number> parse_number(const std::string& text) {
  Number value{};
  const char* const end = text.data() + text.size();
  const auto [stopped, error] = std::from_chars(text.data(), end, value);
  if (error != std::errc{} || stopped != end) return std::nullopt;
  return value;
}

TcpAddress tcp_address(const std::string& text) {
  const auto address = parse_host_port(text);
  if (!address || address->port == 0) {
    throw std::invalid_argument(
        "expected tcp:HOST:PORT with a port from 1 to 65535, such as tcp:127.0.0.1:7000");
  }
  return {address->host, address->port};
}

SerialAddress serial_address(const std::string& text) {
  const DeviceBaud line = parse_serial(text);
  return {line.device, line.baud};
}

template <StandInKind kKind>
struct StandInOf : StandIn {
  StandInOf() : StandIn(kKind) {}
};

/// A controller in the bench itself, at hand directly or over frames.
struct Hosted {
  const char* option;
  std::unique_ptr<Node> (*direct)();
  std::unique_ptr<ByteStream> (*framed)();
};

template <class Controller>
constexpr Hosted hosted(const char* option) {
  return {option,
          []() -> std::unique_ptr<Node> { return std::make_unique<HostedNode<Controller>>(); },
          []() -> std::unique_ptr<ByteStream> {
            return std::make_unique<LoopbackStream<Controller>>();
          }};
}

constexpr std::array kHosted{
    hosted<DoseController>("inproc"),
    hosted<StandInOf<StandInKind::kAlwaysReject>>("stand_in:always_reject"),
    hosted<StandInOf<StandInKind::kNeverDose>>("stand_in:never_dose"),
    hosted<StandInOf<StandInKind::kFixedDelay>>("stand_in:fixed_delay"),
};

}  // namespace

std::optional<HostPort> parse_host_port(const std::string& text) {
  const std::size_t colon = text.rfind(':');
  if (colon == std::string::npos) return std::nullopt;
  std::string host = text.substr(0, colon);
  if (host.size() > 2 && host.front() == '[' && host.back() == ']') {
    host = host.substr(1, host.size() - 2);
  } else if (host.find_first_of("[]:") != std::string::npos) {
    return std::nullopt;
  }
  const auto port = parse_number<std::uint16_t>(text.substr(colon + 1));
  if (host.empty() || !port) return std::nullopt;
  return HostPort{host, *port};
}

DeviceBaud parse_serial(const std::string& text) {
  const std::size_t comma = text.find(',');
  DeviceBaud line{text.substr(0, comma), kBaudUsual};
  if (line.device.empty()) {
    throw std::invalid_argument("expected DEV[,BAUD], such as /dev/ttyUSB0,115200");
  }
  if (comma == std::string::npos) return line;
  const std::string rate = text.substr(comma + 1);
  line.baud = parse_number<std::uint32_t>(rate).value_or(0);
  if (std::ranges::find(kBauds, line.baud) == kBauds.end()) {
    throw std::invalid_argument(fmt::format("\"{}\" is not a rate of serial ports; one of {}", rate,
                                            fmt::join(kBauds, ", ")));
  }
  return line;
}

std::unique_ptr<ByteStream> open_stream(const std::string& option,
                                        std::chrono::milliseconds patience) {
  const std::size_t colon = option.find(':');
  const std::string kind = option.substr(0, colon);
  const std::string rest = colon == std::string::npos ? "" : option.substr(colon + 1);
  try {
    if (kind == "tcp") return connect_tcp(tcp_address(rest), patience);
    if (kind == "unix" && !rest.empty()) return connect_unix(rest, patience);
    if (kind == "serial") return open_serial(serial_address(rest));
    if (kind == "exec" && !rest.empty()) return start_node(rest);
  } catch (const std::invalid_argument& error) {
    throw std::invalid_argument("--node " + option + ": " + error.what());
  }
  throw std::invalid_argument("--node " + option +
                              ": expected inproc, tcp:HOST:PORT, unix:PATH, serial:DEV[,BAUD] or "
                              "exec:COMMAND");
}

std::unique_ptr<Node> open_node(const std::string& option, const Happenings& happens,
                                std::chrono::milliseconds silence_max) {
  const auto* const hosted = std::ranges::find(kHosted, option, &Hosted::option);
  const bool here = hosted != kHosted.end();
  if (here && !happens.link_fault) return hosted->direct();
  try {
    auto stream = here ? hosted->framed() : open_stream(option, silence_max);
    if (happens.link_fault) {
      return std::make_unique<FaultyLink>(std::move(stream), *happens.link_fault, silence_max);
    }
    return std::make_unique<FramedNode>(std::move(stream), silence_max);
  } catch (const StreamError& error) {
    throw LinkError("node at " + option + ": " + error.what(), Instant{});
  }
}

}  // namespace rimebench
