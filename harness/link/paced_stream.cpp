#include "harness/link/paced_stream.hpp"

#include <sched.h>
#include <sys/mman.h>

#include <cerrno>
#include <chrono>
#include <cstring>

#include "harness/link/frame_channel.hpp"

namespace rimebench {

namespace {

using std::chrono::microseconds;
using std::chrono::steady_clock;

/// A waiting process wakes up late, by a millisecond or so: the last stretch before a deadline is
/// spent looking at the clock instead.
constexpr Duration kWakeLate{1'200};
/// However close the deadlines follow each other, this often the stream is looked at, for so long.
constexpr Duration kLookEvery{20'000};
constexpr Duration kLook{100};

class StreamWire final : public PacedWire {
 public:
  explicit StreamWire(std::unique_ptr<ByteStream> stream) : channel_(std::move(stream)) {}

  Instant now() override {
    return {std::chrono::duration_cast<microseconds>(steady_clock::now() - start_).count()};
  }

  void send(std::span<const std::uint8_t> frame) override {
    channel_.send(frame, deadline_in(kSilenceMax));
  }

  std::optional<std::span<const std::uint8_t>> receive(Instant until) override {
    Instant wake = until - kWakeLate;
    const bool overdue = now() - looked_at_ > kLookEvery;
    if (overdue) wake = later(wake, now() + kLook);
    if (wake > now()) {
      looked_at_ = now();
      try {
        const FrameEvent event = channel_.receive(start_ + microseconds(wake.us));
        if (event == FrameEvent::kFrame) return channel_.payload();
        throw StreamError(StreamLoss::kFailed, "a frame arrived damaged");
      } catch (const StreamError& error) {
        if (error.loss() != StreamLoss::kSilent) throw;
      }
    }
    while (now() < until) continue;
    return std::nullopt;
  }

  const std::string& name() const override { return channel_.name(); }
  bool starts_empty() const override { return channel_.starts_empty(); }

 private:
  FrameChannel channel_;
  steady_clock::time_point start_{steady_clock::now()};
  Instant looked_at_{};
};

}  // namespace

std::unique_ptr<PacedWire> make_paced(std::unique_ptr<ByteStream> stream) {
  return std::make_unique<StreamWire>(std::move(stream));
}

std::string lock_memory() {
  if (::mlockall(MCL_CURRENT | MCL_FUTURE) == 0) return {};
  return "the system does not let memory be locked (" + std::string(std::strerror(errno)) +
         "): it takes CAP_IPC_LOCK or a larger limit (ulimit -l)";
}

std::string take_realtime_priority() {
  sched_param lowest{};
  lowest.sched_priority = ::sched_get_priority_min(SCHED_FIFO);
  if (::sched_setscheduler(0, SCHED_FIFO, &lowest) == 0) return {};
  return "the system gives no real-time priority (" + std::string(std::strerror(errno)) +
         "): it takes CAP_SYS_NICE or a limit above 0 (ulimit -r)";
}

}  // namespace rimebench
