#include "harness/link/asio_stream.hpp"

#include <termios.h>

#include <boost/asio/buffer.hpp>
#include <boost/asio/connect.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/asio/serial_port.hpp>
#include <boost/asio/write.hpp>
#include <optional>
#include <utility>

namespace rimebench {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;
using unix_stream = asio::local::stream_protocol;

namespace {

/// `Device` is a socket or a serial port.
template <class Device>
class AsioStream final : public ByteStream {
 public:
  AsioStream(std::string name, bool starts_empty)
      : name_(std::move(name)), starts_empty_(starts_empty) {}

  Device& device() { return device_; }
  asio::io_context& io() { return io_; }

  std::size_t read(std::span<std::uint8_t> buffer, Deadline deadline) override {
    // Bytes that are there already would be given however late it is: one who babbles without end
    // must not be listened to for ever.
    if (deadline <= std::chrono::steady_clock::now()) settle(asio::error::operation_aborted);
    return run(
        [&](auto done) {
          device_.async_read_some(asio::buffer(buffer.data(), buffer.size()), done);
        },
        deadline);
  }

  void write(std::span<const std::uint8_t> bytes, Deadline deadline) override {
    run(
        [&](auto done) {
          asio::async_write(device_, asio::buffer(bytes.data(), bytes.size()), done);
        },
        deadline);
  }

  const std::string& name() const override { return name_; }
  bool starts_empty() const override { return starts_empty_; }

  /// Runs one operation to its end or to the deadline and returns its size; `start` is given the
  /// place for its result.
  template <class Start>
  std::size_t run(Start&& start, Deadline deadline) {
    std::optional<error_code> result;
    std::size_t size = 0;
    start([&](const error_code& error, std::size_t bytes) {
      result = error;
      size = bytes;
    });
    io_.restart();
    io_.run_until(deadline);
    if (!result) {
      // The abandoned operation refers to `result`: let it end before that is gone. It may have
      // had luck after all.
      error_code ignored;
      device_.cancel(ignored);
      io_.run();
    }
    settle(*result);
    return size;
  }

  [[noreturn]] void fail(const error_code& error) const {
    throw StreamError(StreamLoss::kFailed, error.message());
  }

  void settle(const error_code& result) const {
    if (!result) return;
    if (result == asio::error::operation_aborted) {
      throw StreamError(StreamLoss::kSilent, "it is silent");
    }
    // A serial line whose other end was unplugged gives EIO.
    const bool closed = result == asio::error::eof || result == asio::error::connection_reset ||
                        result == asio::error::broken_pipe ||
                        result == boost::system::errc::io_error;
    if (closed) throw StreamError(StreamLoss::kClosed, "it closed the connection");
    fail(result);
  }

 private:
  std::string name_;
  bool starts_empty_;
  asio::io_context io_;
  Device device_{io_};
};

}  // namespace

std::unique_ptr<ByteStream> connect_tcp(const TcpAddress& address,
                                        std::chrono::milliseconds patience) {
  const std::string port = std::to_string(address.port);
  auto stream = std::make_unique<AsioStream<tcp::socket>>("tcp:" + address.host + ":" + port, true);
  error_code error;
  const auto found = tcp::resolver(stream->io()).resolve(address.host, port, error);
  if (error) stream->fail(error);
  stream->run(
      [&](auto done) {
        asio::async_connect(
            stream->device(), found,
            [done](const error_code& result, const auto&) mutable { done(result, 0); });
      },
      deadline_in(patience));
  // A frame must not wait for the next one.
  stream->device().set_option(tcp::no_delay(true), error);
  if (error) stream->fail(error);
  return stream;
}

std::unique_ptr<ByteStream> connect_unix(const std::string& path,
                                         std::chrono::milliseconds patience) {
  auto stream = std::make_unique<AsioStream<unix_stream::socket>>("unix:" + path, true);
  if (path.size() >= sizeof(sockaddr_un::sun_path)) {
    throw StreamError(StreamLoss::kFailed, "a socket's path has at most " +
                                               std::to_string(sizeof(sockaddr_un::sun_path) - 1) +
                                               " bytes");
  }
  stream->run(
      [&](auto done) {
        stream->device().async_connect(
            unix_stream::endpoint(path),
            [done](const error_code& result) mutable { done(result, 0); });
      },
      deadline_in(patience));
  return stream;
}

std::unique_ptr<ByteStream> open_serial(const SerialAddress& address) {
  using port = asio::serial_port;
  auto stream = std::make_unique<AsioStream<port>>(
      "serial:" + address.device + "," + std::to_string(address.baud), false);
  error_code error;
  const auto demand_success = [&] {
    if (error) stream->fail(error);
  };
  port& device = stream->device();
  device.open(address.device, error);
  demand_success();
  device.set_option(port::baud_rate(address.baud), error);
  demand_success();
  device.set_option(port::character_size(8), error);
  demand_success();
  device.set_option(port::parity(port::parity::none), error);
  demand_success();
  device.set_option(port::stop_bits(port::stop_bits::one), error);
  demand_success();
  device.set_option(port::flow_control(port::flow_control::none), error);
  demand_success();
  ::tcflush(device.native_handle(), TCIFLUSH);
  return stream;
}

}  // namespace rimebench
