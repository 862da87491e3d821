#pragma once

/// Calls to whoever debugs or emulates the machine: "Semihosting for AArch32 and AArch64", Arm
/// 100863. Without a debugger a call is a fault.

#include <cstdint>
#include <span>

namespace rimebench {

/// Standard input and output of the emulator.
struct HostConsole {
  std::uint32_t input{};
  std::uint32_t output{};
};
HostConsole open_host_console();

/// Waits for bytes and puts them into `buffer`; returns how many came, 0 at the end.
std::uint32_t host_read(std::uint32_t file, std::span<std::uint8_t> buffer);
void host_write(std::uint32_t file, std::span<const std::uint8_t> bytes);
/// `text` ends in 0. It goes to the emulator's standard error.
void host_say(const char* text);
[[noreturn]] void host_exit(std::uint32_t code);

}  // namespace rimebench
