#include "firmware_sim/port/paced_server.hpp"

#include <poll.h>

#include <algorithm>
#include <chrono>
#include <ctime>

#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/port/paced_session.hpp"
#include "firmware_sim/port/serve_at.hpp"

namespace rimebench {

namespace {

using std::chrono::microseconds;
using std::chrono::steady_clock;

/// The clock of this machine from when the bench came, and a connection.
template <class Server>
class PacedPort {
 public:
  explicit PacedPort(Server& server) : server_(server) {}

  Instant now() const {
    return {std::chrono::duration_cast<microseconds>(steady_clock::now() - start_).count()};
  }
  void send(std::span<const std::uint8_t> bytes) { server_.send(bytes); }
  /// A host has no pins: the frame that leaves next is the pin.
  Instant drive(std::span<const SignalChange>) const { return now(); }

  /// Until bytes are there or the clock has come to `wake`.
  bool wait(Instant wake) {
    constexpr std::int64_t kLongestUs = 3'600 * kMicrosPerSecond;
    const std::int64_t left = std::clamp((wake - now()).raw, std::int64_t{0}, kLongestUs);
    const timespec timeout{left / kMicrosPerSecond, left % kMicrosPerSecond * 1'000};
    pollfd wanted{server_.handle(), POLLIN, 0};
    return ::ppoll(&wanted, 1, &timeout, nullptr) > 0;
  }

 private:
  Server& server_;
  steady_clock::time_point start_{steady_clock::now()};
};

class PacedService {
 public:
  /// False if the bench is gone without a goodbye.
  template <class Server>
  bool serve(Server& server) {
    PacedPort port(server);
    PacedSession<DoseController, PacedPort<Server>> session(port);
    while (!session.ended()) {
      session.on_time();
      if (!port.wait(session.next_wake())) continue;
      const auto bytes = server.receive();
      if (bytes.empty()) return false;
      for (const std::uint8_t byte : bytes) session.on_byte(byte);
    }
    return true;
  }
};

}  // namespace

void serve_paced(const ServeAddress& address, bool once, std::ostream& out) {
  serve_at<PacedService>(address, once, out);
}

}  // namespace rimebench
