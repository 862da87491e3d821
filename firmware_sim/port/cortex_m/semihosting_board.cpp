/// An MPS2 board with the AN385 image, emulated; the bench stands behind the emulator's standard
/// input and output. Whole buffers cross at once, so that a whole suite can run this way.

#include <array>

#include "firmware_sim/port/cortex_m/board.hpp"
#include "firmware_sim/port/cortex_m/machine.hpp"
#include "firmware_sim/port/cortex_m/semihosting.hpp"
#include "firmware_sim/units/demand.hpp"

extern "C" void uart_handler();

namespace rimebench {

namespace {

constexpr std::uint32_t kLedRegister = 0x40028000;  // LED 0 stands for the valve's driver
constexpr std::uint32_t kExitInternal = 4;

HostConsole console;
std::array<std::uint8_t, 2048> received;

}  // namespace

void open_board() { console = open_host_console(); }

std::span<const std::uint8_t> receive() {
  return {received.data(), host_read(console.input, received)};
}

void send(std::span<const std::uint8_t> bytes) { host_write(console.output, bytes); }

void drive_valve(bool open) { at_address(kLedRegister) = open ? 1 : 0; }

bool valve_driven() { return (at_address(kLedRegister) & 1U) != 0; }

void session_ended() { host_exit(0); }

void say(const char* text) { host_say(text); }

void stop_failed(std::span<const std::uint8_t> last_words) {
  host_write(console.output, last_words);
  host_exit(kExitInternal);
}

}  // namespace rimebench

/// Nothing here was told to interrupt.
void uart_handler() { DEMAND(false); }
