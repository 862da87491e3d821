#pragma once

#include <cstdint>

namespace rimebench {

/// A register of the machine.
inline volatile std::uint32_t& at_address(std::uint32_t address) {
  return *reinterpret_cast<volatile std::uint32_t*>(address);
}

inline void mask_interrupts() { asm volatile("cpsid i" ::: "memory"); }
inline void unmask_interrupts() { asm volatile("cpsie i" ::: "memory"); }
inline void wait_for_interrupt() { asm volatile("wfi" ::: "memory"); }

}  // namespace rimebench
