/// One fuzzer: RIMEBENCH_FUZZ_TARGET is the name of its target. A broken promise aborts, and
/// libFuzzer keeps the bytes.

#include <cstdio>
#include <cstdlib>

#include "firmware_sim/units/demand.hpp"
#include "tests/fuzz/targets.hpp"

void rimebench::panic(const char* file, int line) noexcept {
  std::fprintf(stderr, "internal check failed at %s:%d\n", file, line);
  std::abort();
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  rimebench::fuzz::RIMEBENCH_FUZZ_TARGET({data, size});
  return 0;
}
