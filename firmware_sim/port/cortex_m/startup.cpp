/// From reset to the node: the vector table and the memory a C++ program expects.

#include <array>
#include <cstddef>
#include <cstdint>

#include "firmware_sim/units/demand.hpp"

extern "C" {
// image.ld says where these are.
extern std::uint32_t stack_top;
extern const std::uint32_t data_load;
extern std::uint32_t data_begin;
extern std::uint32_t data_end;
extern std::uint32_t bss_begin;
extern std::uint32_t bss_end;

[[noreturn]] void run_node();
[[noreturn]] void reset_handler();
[[noreturn]] void fault_handler();
void uart_handler();
// A board without a clock has none of these.
[[gnu::weak]] void systick_handler();
[[gnu::weak]] void watchdog_handler();
[[gnu::weak]] void timer_handler();
}

void systick_handler() { fault_handler(); }
void watchdog_handler() { fault_handler(); }
void timer_handler() { fault_handler(); }

void fault_handler() { rimebench::panic("fault", 0); }

void reset_handler() {
  const std::uint32_t* from = &data_load;
  for (std::uint32_t* to = &data_begin; to < &data_end;) *to++ = *from++;
  for (std::uint32_t* to = &bss_begin; to < &bss_end;) *to++ = 0;
  run_node();
}

namespace {

using Handler = void (*)();

/// The first 16 words of a Cortex-M3, then the interrupts as an LM3S6965 numbers them: UART0 is 5,
/// the watchdog 18, timer 0 is 19.
struct VectorTable {
  std::uint32_t* stack;
  std::array<Handler, 15> exceptions;
  std::array<Handler, 20> interrupts;
};

constexpr Handler kFault = fault_handler;
[[gnu::section(".vectors"), gnu::used]] const VectorTable vectors{
    &stack_top,
    {reset_handler, kFault, kFault, kFault, kFault, kFault, kFault, kFault, kFault, kFault, kFault,
     kFault, kFault, kFault, systick_handler},
    {kFault, kFault, kFault, kFault, kFault,           uart_handler, kFault,
     kFault, kFault, kFault, kFault, kFault,           kFault,       kFault,
     kFault, kFault, kFault, kFault, watchdog_handler, timer_handler}};

}  // namespace
