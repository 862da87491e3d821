#pragma once

#include <cstdint>

namespace rimebench {

/// A register of the machine.
inline volatile std::uint32_t& at_address(std::uint32_t address) {
  return *reinterpret_cast<volatile std::uint32_t*>(address);
}

inline void mask_interrupts() { asm volatile("cpsid i" ::: "memory"); }
inline void unmask_interrupts() { asm volatile("cpsie i" ::: "memory"); }
/// Masks them and returns what restore_interrupts needs to undo that.
inline std::uint32_t mask_interrupts_and_tell() {
  std::uint32_t masked = 0;
  asm volatile("mrs %0, primask" : "=r"(masked));
  mask_interrupts();
  return masked;
}
inline void restore_interrupts(std::uint32_t masked) {
  asm volatile("msr primask, %0" ::"r"(masked) : "memory");
}
inline void wait_for_interrupt() { asm volatile("wfi" ::: "memory"); }

}  // namespace rimebench
