#pragma once

/// The host's end of a node: a listening socket or a serial line, and one loop that serves a bench
/// over either.

#include <array>
#include <boost/asio/basic_socket_acceptor.hpp>
#include <boost/asio/generic/stream_protocol.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/serial_port.hpp>
#include <cstddef>
#include <cstdint>
#include <iosfwd>
#include <span>
#include <string>
#include <variant>

namespace rimebench {

/// Where a node listens. Port 0 lets the system choose a free one.
struct ListenAddress {
  std::string host;
  std::uint16_t port{};
};

/// A socket file. One that a node left behind when it was killed is replaced, one that is served is
/// not.
struct ListenPath {
  std::string path;
};

/// 8 data bits, no parity, 1 stop bit, no flow control.
struct SerialLine {
  std::string device;
  std::uint32_t baud{};
};

using ServeAddress = std::variant<ListenAddress, ListenPath, SerialLine>;

/// Feeds what arrives to the session and sends what it answers, until the bench has said goodbye or
/// is gone. `receive()` gives at least one byte, or none if the bench is gone; `send(bytes)` may
/// fail in silence, since the next receive notices. True if it was a goodbye.
template <class Stream, class Session>
bool serve_session(Stream& stream, Session& session) {
  do {
    const auto bytes = stream.receive();
    if (bytes.empty()) return false;
    for (const std::uint8_t byte : bytes) {
      const auto reply = session.on_byte(byte);
      if (!reply.empty()) stream.send(reply);
    }
  } while (!session.ended());
  return true;
}

/// A listening socket, TCP or Unix, that serves one bench at a time.
class SocketServer {
 public:
  /// Throws std::runtime_error, naming the address, if it cannot listen there.
  explicit SocketServer(const ListenAddress& listen);
  explicit SocketServer(const ListenPath& listen);
  SocketServer(const SocketServer&) = delete;
  SocketServer& operator=(const SocketServer&) = delete;
  ~SocketServer();

  /// HOST:PORT as really bound, or unix:PATH.
  std::string address() const;
  /// 0 for a socket file.
  std::uint16_t port() const;

  /// Waits for a bench and serves it until the session has ended or the connection is gone.
  /// `Session` has on_byte and ended, as NodeSession.
  template <class Session>
  bool serve_one(Session& session) {
    accept();
    const bool ended = serve_session(*this, session);
    close();
    return ended;
  }

  /// Waits for a bench.
  void accept();
  void close();

  std::span<const std::uint8_t> receive();
  void send(std::span<const std::uint8_t> bytes);
  /// The system's number of the connection, to wait on.
  int handle() { return socket_.native_handle(); }

 private:
  using Protocol = boost::asio::generic::stream_protocol;

  boost::asio::io_context io_;
  boost::asio::basic_socket_acceptor<Protocol> acceptor_;
  Protocol::socket socket_;
  std::string path_;  // of a socket file, to be removed in the end
  std::array<std::uint8_t, 4096> buffer_{};
};

/// A serial line. It has no connections: whoever says hello begins a session.
class SerialServer {
 public:
  /// Throws std::runtime_error, naming the device, if it cannot be had with these settings.
  explicit SerialServer(const SerialLine& line);

  /// False if the line itself is gone.
  template <class Session>
  bool serve_one(Session& session) {
    return serve_session(*this, session);
  }

  std::span<const std::uint8_t> receive();
  void send(std::span<const std::uint8_t> bytes);
  /// The system's number of the line, to wait on.
  int handle() { return port_.native_handle(); }

 private:
  boost::asio::io_context io_;
  boost::asio::serial_port port_{io_};
  std::array<std::uint8_t, 4096> buffer_{};
};

/// Runs the dose controller as a node: prints "listening on ..." as one line on `out`, then serves
/// one bench after another, each with a fresh controller; with `once` it returns after the first.
/// Throws std::runtime_error if it cannot listen, or when a serial line goes away.
void serve(const ServeAddress& address, bool once, std::ostream& out);

}  // namespace rimebench
