#pragma once

#include <array>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <cstddef>
#include <cstdint>
#include <iosfwd>
#include <span>
#include <string>

namespace rimebench {

/// Where a node listens. Port 0 lets the system choose a free one.
struct ListenAddress {
  std::string host;
  std::uint16_t port{};
};

/// A listening socket that serves one bench at a time.
class TcpServer {
 public:
  /// Throws std::runtime_error, naming the address, if it cannot listen there.
  explicit TcpServer(const ListenAddress& listen);

  std::uint16_t port() const;

  /// HOST:PORT as really bound.
  std::string address() const;

  /// Waits for a bench and serves it until the session has ended or the connection is gone.
  /// `Session` has on_byte and ended, as NodeSession.
  template <class Session>
  void serve_one(Session& session) {
    accept();
    while (!session.ended()) {
      const auto bytes = receive();
      if (bytes.empty()) break;
      for (const std::uint8_t byte : bytes) send(session.on_byte(byte));
    }
    close();
  }

 private:
  void accept();
  std::span<const std::uint8_t> receive();  ///< empty: the connection is gone
  void send(std::span<const std::uint8_t> bytes);
  void close();

  boost::asio::io_context io_;
  boost::asio::ip::tcp::acceptor acceptor_;
  boost::asio::ip::tcp::socket socket_;
  std::array<std::uint8_t, 4096> buffer_{};
};

/// Runs the dose controller as a node: prints "listening on HOST:PORT" as one line on `out`, then
/// serves one bench after another, each with a fresh controller; with `once` it returns after the
/// first. Throws std::runtime_error if it cannot listen.
void serve_tcp(const ListenAddress& listen, bool once, std::ostream& out);

}  // namespace rimebench
