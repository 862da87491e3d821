#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <thread>
#include <utility>

#include "firmware_sim/port/node_server.hpp"
#include "firmware_sim/port/node_session.hpp"
#include "harness/link/asio_stream.hpp"
#include "harness/link/framed_node.hpp"
#include "tests/link/echo_controller.hpp"
#include "tests/wire/bytes.hpp"

namespace rimebench::test {

using EchoSession = NodeSession<EchoController>;

/// Serves one connection on a free port from a thread of its own. Whoever makes one must connect.
template <class Session = EchoSession>
class Served {
 public:
  Served() = default;
  explicit Served(Session session) : session_(std::move(session)) {}
  ~Served() { thread_.join(); }

  TcpAddress address() const { return {"127.0.0.1", port_}; }

 private:
  Session session_;
  SocketServer server_{ListenAddress{"127.0.0.1", 0}};
  std::uint16_t port_{server_.port()};
  std::thread thread_{[this] { server_.serve_one(session_); }};
};

/// The bench's end of a connection to it.
class Connected : public FramedNode {
 public:
  explicit Connected(const TcpAddress& address, std::chrono::milliseconds silence_max = kSilenceMax)
      : FramedNode(connect_tcp(address, silence_max), silence_max) {}
};

using Tamper = std::function<Bytes(Bytes)>;

/// A good session whose every frame passes through `tamper` on its way out.
class TamperedSession {
 public:
  explicit TamperedSession(Tamper tamper) : tamper_(std::move(tamper)) {}

  std::span<const std::uint8_t> on_byte(std::uint8_t byte) {
    const auto reply = session_.on_byte(byte);
    sent_ = reply.empty() ? Bytes{} : tamper_({reply.begin(), reply.end()});
    return sent_;
  }
  bool ended() const { return session_.ended(); }

 private:
  EchoSession session_;
  Tamper tamper_;
  Bytes sent_;
};

}  // namespace rimebench::test
