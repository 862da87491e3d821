#include "firmware_sim/port/stdio_server.hpp"

#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdint>
#include <span>

#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/port/node_server.hpp"
#include "firmware_sim/port/node_session.hpp"

namespace rimebench {

namespace {

class StdioStream {
 public:
  std::span<const std::uint8_t> receive() {
    ssize_t size = 0;
    do {
      size = ::read(STDIN_FILENO, buffer_.data(), buffer_.size());
    } while (size < 0 && errno == EINTR);
    return {buffer_.data(), size > 0 ? static_cast<std::size_t>(size) : 0};
  }

  /// A bench that is gone is noticed by the next receive.
  void send(std::span<const std::uint8_t> bytes) {
    while (!bytes.empty()) {
      const ssize_t size = ::write(STDOUT_FILENO, bytes.data(), bytes.size());
      if (size < 0 && errno == EINTR) continue;
      if (size <= 0) return;
      bytes = bytes.subspan(static_cast<std::size_t>(size));
    }
  }

 private:
  std::array<std::uint8_t, 4096> buffer_{};
};

}  // namespace

void serve_stdio() {
  std::signal(SIGPIPE, SIG_IGN);
  StdioStream stream;
  NodeSession<DoseController> session;
  serve_session(stream, session);
}

}  // namespace rimebench
