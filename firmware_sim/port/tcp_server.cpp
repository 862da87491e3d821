#include "firmware_sim/port/tcp_server.hpp"

#include <boost/asio/buffer.hpp>
#include <boost/asio/write.hpp>
#include <ostream>
#include <sstream>
#include <stdexcept>

#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/port/node_session.hpp"

namespace rimebench {

namespace asio = boost::asio;
using asio::ip::tcp;

TcpServer::TcpServer(const ListenAddress& listen) : acceptor_(io_), socket_(io_) {
  try {
    tcp::resolver resolver(io_);
    const tcp::endpoint endpoint =
        *resolver.resolve(listen.host, std::to_string(listen.port), tcp::resolver::passive).begin();
    acceptor_ = tcp::acceptor(io_, endpoint);
  } catch (const boost::system::system_error& error) {
    throw std::runtime_error("cannot listen on " + listen.host + ":" + std::to_string(listen.port) +
                             ": " + error.code().message());
  }
}

std::uint16_t TcpServer::port() const { return acceptor_.local_endpoint().port(); }

std::string TcpServer::address() const {
  std::ostringstream text;
  text << acceptor_.local_endpoint();
  return text.str();
}

void TcpServer::accept() {
  acceptor_.accept(socket_);
  // A frame must not wait for the next one. Where this fails the bench is already gone.
  boost::system::error_code gone;
  socket_.set_option(tcp::no_delay(true), gone);
}

std::span<const std::uint8_t> TcpServer::receive() {
  boost::system::error_code gone;
  const std::size_t size = socket_.read_some(asio::buffer(buffer_), gone);
  return {buffer_.data(), gone ? 0 : size};
}

void TcpServer::send(std::span<const std::uint8_t> bytes) {
  if (bytes.empty()) return;
  // A bench that is gone is noticed by the next receive.
  boost::system::error_code gone;
  asio::write(socket_, asio::buffer(bytes.data(), bytes.size()), gone);
}

void TcpServer::close() {
  boost::system::error_code gone;
  socket_.close(gone);
}

void serve_tcp(const ListenAddress& listen, bool once, std::ostream& out) {
  TcpServer server(listen);
  out << "listening on " << server.address() << std::endl;
  do {
    NodeSession<DoseController> session;
    server.serve_one(session);
  } while (!once);
}

}  // namespace rimebench
