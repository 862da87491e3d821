/// The paced node of the bare-metal image: on a clock and a timer of its own, watched by the
/// watchdog.

#include <array>
#include <cstddef>
#include <new>

#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/port/cortex_m/board.hpp"
#include "firmware_sim/port/cortex_m/board_clock.hpp"
#include "firmware_sim/port/cortex_m/machine.hpp"
#include "firmware_sim/port/cortex_m/uart_board.hpp"
#include "firmware_sim/port/paced_session.hpp"

extern "C" [[noreturn]] void run_node();

namespace rimebench {

namespace {

/// What waits for nothing else still kicks the watchdog so often.
constexpr Duration kIdleMax{kWatchdog.raw / 8};

struct BoardPort {
  static Instant now() { return clock_now(); }
  static void send(std::span<const std::uint8_t> bytes) { rimebench::send(bytes); }

  /// The valve's pin is the one whose microseconds count, and the one this board has.
  static Instant drive(std::span<const SignalChange> outputs) {
    for (const SignalChange& output : outputs) {
      if (output.channel == Channel::kValve) drive_valve(output.value != 0);
    }
#ifdef RIMEBENCH_HANGS
    hang_with_open_valve();
#endif
    return clock_now();
  }

#ifdef RIMEBENCH_HANGS
  /// A planted defect at the first output; with 2, the interrupts are masked too.
  [[noreturn]] static void hang_with_open_valve() {
    drive_valve(true);
    if (RIMEBENCH_HANGS == 2) mask_interrupts();
    while (true) asm volatile("");  // a loop with no effect might be left out
  }
#endif
};

using Session = PacedSession<DoseController, BoardPort>;

BoardPort port;
// Made by run_node: an object that refers to another would have to lie in flash as a whole.
alignas(Session) constinit std::array<std::byte, sizeof(Session)> room{};

/// Sleeps until bytes are there or the clock has come to `wake`.
void sleep_until(Instant wake) {
  // An interrupt that comes while masked still ends the wait: nothing can slip in between.
  mask_interrupts();
  while (!bytes_waiting() && clock_now() < wake) {
    arm_timer(wake);
    wait_for_interrupt();
    unmask_interrupts();
    mask_interrupts();
  }
  unmask_interrupts();
}

}  // namespace

}  // namespace rimebench

void run_node() {
  using namespace rimebench;
  open_board();
  open_clock();
  Session& session = *new (room.data()) Session(port);
  while (true) {
    kick_watchdog();
    session.on_time();
    sleep_until(earlier(session.next_wake(), clock_now() + kIdleMax));
    for (const std::uint8_t byte : take_bytes()) session.on_byte(byte);
    if (session.ended()) drive_valve(false);  // the next bench may say hello
  }
}
