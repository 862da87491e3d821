#define DOCTEST_CONFIG_IMPLEMENT_WITH_MAIN
#include <doctest/doctest.h>

#include <cstdio>
#include <cstdlib>

#include "firmware_sim/units/demand.hpp"

void rimebench::panic(const char* file, int line) noexcept {
  std::fprintf(stderr, "internal check failed at %s:%d\n", file, line);
  std::abort();
}
