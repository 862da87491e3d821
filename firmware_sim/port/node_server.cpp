#include "firmware_sim/port/node_server.hpp"

#include <boost/asio/buffer.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/asio/write.hpp>
#include <cstdio>
#include <cstring>
#include <ostream>
#include <sstream>
#include <stdexcept>

#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/port/node_session.hpp"
#include "firmware_sim/port/serve_at.hpp"

namespace rimebench {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;
using boost::system::system_error;
using unix_stream = asio::local::stream_protocol;

namespace {

[[noreturn]] void refuse(const std::string& doing, const system_error& error) {
  throw std::runtime_error("cannot " + doing + ": " + error.code().message());
}

template <class Stream>
std::span<const std::uint8_t> read_some(Stream& stream, std::span<std::uint8_t> buffer) {
  error_code gone;
  const std::size_t size = stream.read_some(asio::buffer(buffer.data(), buffer.size()), gone);
  return buffer.first(gone ? 0 : size);
}

template <class Stream>
void write_all(Stream& stream, std::span<const std::uint8_t> bytes) {
  // A bench that is gone is noticed by the next receive.
  error_code gone;
  asio::write(stream, asio::buffer(bytes.data(), bytes.size()), gone);
}

/// A socket file that nobody listens on any more stands in the way of the next node.
void remove_left_over(const std::string& path) {
  asio::io_context io;
  unix_stream::socket probe(io);
  error_code error;
  probe.connect(unix_stream::endpoint(path), error);
  if (error == asio::error::connection_refused) std::remove(path.c_str());
}

tcp::endpoint tcp_endpoint(const asio::generic::stream_protocol::endpoint& endpoint) {
  tcp::endpoint address;
  std::memcpy(address.data(), endpoint.data(), endpoint.size());
  address.resize(endpoint.size());
  return address;
}

}  // namespace

SocketServer::SocketServer(const ListenAddress& listen) : acceptor_(io_), socket_(io_) {
  try {
    tcp::resolver resolver(io_);
    const tcp::endpoint endpoint =
        *resolver.resolve(listen.host, std::to_string(listen.port), tcp::resolver::passive).begin();
    acceptor_ = decltype(acceptor_)(io_, Protocol::endpoint(endpoint));
  } catch (const system_error& error) {
    refuse("listen on " + listen.host + ":" + std::to_string(listen.port), error);
  }
}

SocketServer::SocketServer(const ListenPath& listen) : acceptor_(io_), socket_(io_) {
  try {
    remove_left_over(listen.path);
    acceptor_ = decltype(acceptor_)(io_, Protocol::endpoint(unix_stream::endpoint(listen.path)));
  } catch (const system_error& error) {
    refuse("listen on unix:" + listen.path, error);
  }
  path_ = listen.path;
}

SocketServer::~SocketServer() {
  if (!path_.empty()) std::remove(path_.c_str());
}

std::uint16_t SocketServer::port() const {
  return path_.empty() ? tcp_endpoint(acceptor_.local_endpoint()).port() : std::uint16_t{0};
}

std::string SocketServer::address() const {
  if (!path_.empty()) return "unix:" + path_;
  std::ostringstream text;
  text << tcp_endpoint(acceptor_.local_endpoint());
  return text.str();
}

void SocketServer::accept() {
  acceptor_.accept(socket_);
  if (!path_.empty()) return;
  // A frame must not wait for the next one. Where this fails the bench is already gone.
  error_code gone;
  socket_.set_option(tcp::no_delay(true), gone);
}

std::span<const std::uint8_t> SocketServer::receive() { return read_some(socket_, buffer_); }

void SocketServer::send(std::span<const std::uint8_t> bytes) { write_all(socket_, bytes); }

void SocketServer::close() {
  error_code gone;
  socket_.close(gone);
}

SerialServer::SerialServer(const SerialLine& line) {
  try {
    port_.open(line.device);
    port_.set_option(asio::serial_port::baud_rate(line.baud));
    port_.set_option(asio::serial_port::character_size(8));
    port_.set_option(asio::serial_port::parity(asio::serial_port::parity::none));
    port_.set_option(asio::serial_port::stop_bits(asio::serial_port::stop_bits::one));
    port_.set_option(asio::serial_port::flow_control(asio::serial_port::flow_control::none));
  } catch (const system_error& error) {
    refuse("use " + line.device + " at " + std::to_string(line.baud) + " baud", error);
  }
}

std::span<const std::uint8_t> SerialServer::receive() { return read_some(port_, buffer_); }

void SerialServer::send(std::span<const std::uint8_t> bytes) { write_all(port_, bytes); }

void serve(const ServeAddress& address, bool once, std::ostream& out) {
  serve_at<LockstepService<NodeSession<DoseController>>>(address, once, out);
}

}  // namespace rimebench
