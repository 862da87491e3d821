/// An LM3S6965 evaluation board, emulated; the bench stands behind UART0, a PL011 ("PrimeCell UART
/// Technical Reference Manual", Arm DDI 0183). Both directions run by interrupt. The clock is 12.5
/// MHz: the crystal of 8 MHz through the PLL's 200 MHz, divided by 16.

#include <array>

#include "firmware_sim/port/cortex_m/board.hpp"
#include "firmware_sim/port/cortex_m/byte_ring.hpp"
#include "firmware_sim/port/cortex_m/machine.hpp"
#include "firmware_sim/port/cortex_m/uart_board.hpp"
#ifdef RIMEBENCH_SAY_BY_SEMIHOSTING
#include "firmware_sim/port/cortex_m/semihosting.hpp"
#endif

extern "C" void uart_handler();

namespace rimebench {

namespace {

// System control: the PLL, run from the crystal instead of the internal oscillator.
constexpr std::uint32_t kRunClock = 0x400fe060;
constexpr std::uint32_t kRawInterrupts = 0x400fe050;
constexpr std::uint32_t kPllLocked = 1U << 6;
constexpr std::uint32_t kPllOff = 1U << 13;
constexpr std::uint32_t kPllBypassed = 1U << 11;
constexpr std::uint32_t kDividedBy16 = 0xfU << 23 | 1U << 22;
constexpr std::uint32_t kCrystal8Mhz = 0xeU << 6;

// Clocks of UART0 and of GPIO port F.
constexpr std::uint32_t kClockGate1 = 0x400fe104;
constexpr std::uint32_t kClockGate2 = 0x400fe108;
constexpr std::uint32_t kUart0Clock = 1U << 0;
constexpr std::uint32_t kPortFClock = 1U << 5;

constexpr std::uint32_t kUart = 0x4000c000;
constexpr std::uint32_t kData = kUart + 0x00;
constexpr std::uint32_t kFlags = kUart + 0x18;
constexpr std::uint32_t kBaudInteger = kUart + 0x24;
constexpr std::uint32_t kBaudFraction = kUart + 0x28;
constexpr std::uint32_t kLineControl = kUart + 0x2c;
constexpr std::uint32_t kControl = kUart + 0x30;
constexpr std::uint32_t kFifoLevels = kUart + 0x34;
constexpr std::uint32_t kInterruptMask = kUart + 0x38;
constexpr std::uint32_t kInterruptClear = kUart + 0x44;

constexpr std::uint32_t kReceiveEmpty = 1U << 4;
constexpr std::uint32_t kTransmitFull = 1U << 5;
constexpr std::uint32_t kReceiveInterrupt = 1U << 4;
constexpr std::uint32_t kTransmitInterrupt = 1U << 5;
constexpr std::uint32_t kReceiveTimeout = 1U << 6;
constexpr std::uint32_t kEightBitsFifo = 0x70;
constexpr std::uint32_t kEnableBoth = 0x301;

constexpr std::uint32_t kInterruptEnable0 = 0xe000e100;
constexpr std::uint32_t kUart0Interrupt = 1U << 5;

// Port F, pin 0: the board's LED stands for the valve's driver. The address masks the other pins.
constexpr std::uint32_t kValvePin = 0x40025000 + (1U << 2);
constexpr std::uint32_t kPortFDirection = 0x40025400;
constexpr std::uint32_t kPortFDigital = 0x4002551c;

// Each holds more than one frame, and the link has one frame under way at a time.
ByteRing<2048> incoming;
ByteRing<2048> outgoing;
std::array<std::uint8_t, 256> received;

void open_system_clock() {
  at_address(kRunClock) = kDividedBy16 | kCrystal8Mhz | kPllOff | kPllBypassed;
  at_address(kRunClock) = kDividedBy16 | kCrystal8Mhz | kPllBypassed;
  while ((at_address(kRawInterrupts) & kPllLocked) == 0) {
  }
  at_address(kRunClock) = kDividedBy16 | kCrystal8Mhz;
}

/// What does not fit waits in the UART. Where that is full too, the line must wait, or bytes are
/// lost and the frame arrives damaged.
void take_from_uart() {
  while (!incoming.full() && (at_address(kFlags) & kReceiveEmpty) == 0) {
    incoming.put(static_cast<std::uint8_t>(at_address(kData)));
  }
}

/// The transmit interrupt tells that there is room again, not that there is room: the first bytes
/// must be written without it.
void give_to_uart() {
  while (!outgoing.empty() && (at_address(kFlags) & kTransmitFull) == 0) {
    at_address(kData) = outgoing.take();
  }
}

}  // namespace

void open_board() {
  open_system_clock();
  at_address(kClockGate1) = at_address(kClockGate1) | kUart0Clock;
  at_address(kClockGate2) = at_address(kClockGate2) | kPortFClock;
  at_address(kPortFDirection) = 1;
  at_address(kPortFDigital) = 1;
  drive_valve(false);

  at_address(kControl) = 0;
  at_address(kBaudInteger) = 6;  // 115200 baud from 12.5 MHz
  at_address(kBaudFraction) = 50;
  at_address(kLineControl) = kEightBitsFifo;
  at_address(kFifoLevels) = 0;
  at_address(kInterruptMask) = kReceiveInterrupt | kTransmitInterrupt | kReceiveTimeout;
  at_address(kControl) = kEnableBoth;
  at_address(kInterruptEnable0) = kUart0Interrupt;
}

bool bytes_waiting() { return !incoming.empty(); }

std::span<const std::uint8_t> take_bytes() {
  // What had no room at its interrupt is not told again.
  mask_interrupts();
  take_from_uart();
  unmask_interrupts();
  std::size_t count = 0;
  while (count < received.size() && !incoming.empty()) received[count++] = incoming.take();
  return {received.data(), count};
}

std::span<const std::uint8_t> receive() {
  // An interrupt that comes while masked still ends the wait: no byte can slip in between.
  mask_interrupts();
  while (!bytes_waiting()) {
    wait_for_interrupt();
    unmask_interrupts();
    mask_interrupts();
  }
  unmask_interrupts();
  return take_bytes();
}

void send(std::span<const std::uint8_t> bytes) {
  for (const std::uint8_t byte : bytes) {
    while (outgoing.full()) {
    }
    mask_interrupts();
    outgoing.put(byte);
    give_to_uart();
    unmask_interrupts();
  }
}

void drive_valve(bool open) { at_address(kValvePin) = open ? 1 : 0; }

bool valve_driven() { return at_address(kValvePin) != 0; }

void session_ended() {}  // the next bench may say hello

#ifdef RIMEBENCH_SAY_BY_SEMIHOSTING
void say(const char* text) { host_say(text); }
#else
void say(const char*) {}  // the one UART belongs to the link
#endif

void stop_failed(std::span<const std::uint8_t> last_words) {
  mask_interrupts();
  for (const std::uint8_t byte : last_words) {
    while ((at_address(kFlags) & kTransmitFull) != 0) {
    }
    at_address(kData) = byte;
  }
  while (true) wait_for_interrupt();
}

}  // namespace rimebench

void uart_handler() {
  using namespace rimebench;
  at_address(kInterruptClear) = kReceiveInterrupt | kTransmitInterrupt | kReceiveTimeout;
  take_from_uart();
  give_to_uart();
}
