/// Clock, timer and watchdog of the LM3S6965 ("Stellaris LM3S6965 Microcontroller Data Sheet"):
/// SysTick counts down from its 24 bits and is extended by an interrupt at each wrap; timer 0 is
/// the compare, 32 bits, one shot; watchdog 0 interrupts first and resets second.

#include "firmware_sim/port/cortex_m/board_clock.hpp"
#include "firmware_sim/port/cortex_m/machine.hpp"
#include "firmware_sim/units/demand.hpp"

extern "C" {
void systick_handler();
void timer_handler();
void watchdog_handler();
}

namespace rimebench {

namespace {

// 12.5 MHz: 25 ticks are 2 us.
constexpr std::int64_t kTicksPerUs2 = 25;

constexpr std::uint32_t kSysTickControl = 0xe000e010;
constexpr std::uint32_t kSysTickReload = 0xe000e014;
constexpr std::uint32_t kSysTickValue = 0xe000e018;
constexpr std::uint32_t kSysTickMax = 0xffffff;
constexpr std::uint32_t kRunWithInterrupt = 7;
constexpr std::uint32_t kInterruptState = 0xe000ed04;
constexpr std::uint32_t kSysTickPending = 1U << 26;

constexpr std::uint32_t kClockGate0 = 0x400fe100;
constexpr std::uint32_t kClockGate1 = 0x400fe104;
constexpr std::uint32_t kWatchdogClock = 1U << 3;
constexpr std::uint32_t kTimer0Clock = 1U << 16;
constexpr std::uint32_t kInterruptEnable0 = 0xe000e100;
constexpr std::uint32_t kWatchdogInterrupt = 1U << 18;
constexpr std::uint32_t kTimer0Interrupt = 1U << 19;

constexpr std::uint32_t kTimer = 0x40030000;
constexpr std::uint32_t kTimerConfig = kTimer + 0x00;
constexpr std::uint32_t kTimerMode = kTimer + 0x04;
constexpr std::uint32_t kTimerControl = kTimer + 0x0c;
constexpr std::uint32_t kTimerMask = kTimer + 0x18;
constexpr std::uint32_t kTimerClear = kTimer + 0x24;
constexpr std::uint32_t kTimerLoad = kTimer + 0x28;
constexpr std::uint32_t kOneShot = 1;
constexpr std::uint32_t kTimeOut = 1;

constexpr std::uint32_t kWatchdogBase = 0x40000000;
constexpr std::uint32_t kWatchdogLoad = kWatchdogBase + 0x000;
constexpr std::uint32_t kWatchdogControl = kWatchdogBase + 0x008;
constexpr std::uint32_t kWatchdogClear = kWatchdogBase + 0x00c;
constexpr std::uint32_t kWatchdogLock = kWatchdogBase + 0xc00;
constexpr std::uint32_t kInterruptThenReset = 3;

// What 32 bits of ticks hold, and more than a node ever sleeps.
constexpr Duration kTimerLongest = 100_s;

volatile std::uint32_t wraps;

std::uint32_t ticks_of(Duration duration) {
  DEMAND(duration.raw >= 0 && duration <= kTimerLongest);
  return static_cast<std::uint32_t>(duration.raw * kTicksPerUs2 / 2 + 1);
}

}  // namespace

void open_clock() {
  at_address(kClockGate0) = at_address(kClockGate0) | kWatchdogClock;
  at_address(kClockGate1) = at_address(kClockGate1) | kTimer0Clock;

  at_address(kSysTickReload) = kSysTickMax;
  at_address(kSysTickValue) = 0;
  at_address(kSysTickControl) = kRunWithInterrupt;

  at_address(kTimerControl) = 0;
  at_address(kTimerConfig) = 0;
  at_address(kTimerMode) = kOneShot;
  at_address(kTimerMask) = kTimeOut;

  at_address(kWatchdogLoad) = ticks_of(kWatchdog);
  at_address(kWatchdogControl) = kInterruptThenReset;
  at_address(kWatchdogLock) = 1;  // until the next reset nothing but a kick can change it
  at_address(kInterruptEnable0) = kWatchdogInterrupt | kTimer0Interrupt;
}

Instant clock_now() {
  const std::uint32_t masked = mask_interrupts_and_tell();
  std::uint32_t left = at_address(kSysTickValue);
  std::uint32_t turns = wraps;
  if ((at_address(kInterruptState) & kSysTickPending) != 0) {
    // It wrapped since the mask: what was read may be of before or of after.
    left = at_address(kSysTickValue);
    ++turns;
  }
  restore_interrupts(masked);
  const std::int64_t ticks =
      std::int64_t{turns} * (std::int64_t{kSysTickMax} + 1) + (kSysTickMax - left);
  return {ticks * 2 / kTicksPerUs2};
}

void arm_timer(Instant at) {
  const Instant now = clock_now();
  at_address(kTimerControl) = 0;
  at_address(kTimerLoad) = ticks_of(later(at, now) - now);
  at_address(kTimerControl) = 1;
}

void kick_watchdog() {
  at_address(kWatchdogLock) = 0x1acce551;
  at_address(kWatchdogClear) = 0;
  at_address(kWatchdogLock) = 1;
}

}  // namespace rimebench

void systick_handler() { rimebench::wraps = rimebench::wraps + 1; }

/// Waking up is all that is wanted of it.
void timer_handler() { rimebench::at_address(rimebench::kTimerClear) = rimebench::kTimeOut; }

/// Whatever hangs, the valve is closed from here.
void watchdog_handler() { rimebench::panic("watchdog", 0); }
