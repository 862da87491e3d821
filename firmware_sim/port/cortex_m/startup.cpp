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
}

void fault_handler() { rimebench::panic("fault", 0); }

void reset_handler() {
  const std::uint32_t* from = &data_load;
  for (std::uint32_t* to = &data_begin; to < &data_end;) *to++ = *from++;
  for (std::uint32_t* to = &bss_begin; to < &bss_end;) *to++ = 0;
  run_node();
}

namespace {

using Handler = void (*)();

/// The first 16 words of a Cortex-M3, then the interrupts up to UART0's, number 5 on an LM3S6965.
struct VectorTable {
  std::uint32_t* stack;
  std::array<Handler, 15> exceptions;
  std::array<Handler, 6> interrupts;
};

constexpr Handler kFault = fault_handler;
[[gnu::section(".vectors"), gnu::used]] const VectorTable vectors{
    &stack_top,
    {reset_handler, kFault, kFault, kFault, kFault, kFault, kFault, kFault, kFault, kFault, kFault,
     kFault, kFault, kFault, kFault},
    {kFault, kFault, kFault, kFault, kFault, uart_handler}};

}  // namespace
