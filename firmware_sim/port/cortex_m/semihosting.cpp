#include "firmware_sim/port/cortex_m/semihosting.hpp"

namespace rimebench {

namespace {

enum class Call : std::uint32_t {
  kOpen = 0x01,
  kWriteText = 0x04,
  kWrite = 0x05,
  kRead = 0x06,
  kExitExtended = 0x20,
};

std::uint32_t ask_host(Call call, const void* argument) {
  register std::uint32_t r0 asm("r0") = static_cast<std::uint32_t>(call);
  register const void* r1 asm("r1") = argument;
  asm volatile("bkpt 0xab" : "+r"(r0) : "r"(r1) : "memory");
  return r0;
}

struct OpenBlock {
  const char* name;
  std::uint32_t mode;
  std::uint32_t name_length;
};

/// ":tt" is the console: opened to read it is standard input, to write standard output.
std::uint32_t open_console(std::uint32_t mode) {
  const OpenBlock block{":tt", mode, 3};
  return ask_host(Call::kOpen, &block);
}

}  // namespace

HostConsole open_host_console() {
  constexpr std::uint32_t kRead = 0;
  constexpr std::uint32_t kWrite = 4;
  return {open_console(kRead), open_console(kWrite)};
}

std::uint32_t host_read(std::uint32_t file, std::span<std::uint8_t> buffer) {
  const struct {
    std::uint32_t file;
    std::uint8_t* bytes;
    std::uint32_t size;
  } block{file, buffer.data(), buffer.size()};
  const std::uint32_t missing = ask_host(Call::kRead, &block);
  return missing > buffer.size() ? 0 : buffer.size() - missing;
}

void host_write(std::uint32_t file, std::span<const std::uint8_t> bytes) {
  const struct {
    std::uint32_t file;
    const std::uint8_t* bytes;
    std::uint32_t size;
  } block{file, bytes.data(), bytes.size()};
  ask_host(Call::kWrite, &block);
}

void host_say(const char* text) { ask_host(Call::kWriteText, text); }

void host_exit(std::uint32_t code) {
  constexpr std::uint32_t kApplicationExit = 0x20026;
  const struct {
    std::uint32_t reason;
    std::uint32_t code;
  } block{kApplicationExit, code};
  ask_host(Call::kExitExtended, &block);
  while (true) asm volatile("wfi");
}

}  // namespace rimebench
