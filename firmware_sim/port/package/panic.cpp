/// What a node made with the package does when an internal check fails, ours or one that holds its
/// controller to the contract: it says where and is gone. The bench finds the link lost.

#include <cstdio>
#include <cstdlib>

#include "firmware_sim/units/demand.hpp"

void rimebench::panic(const char* file, int line) noexcept {
  std::fprintf(stderr, "node: check failed at %s:%d\n", file, line);
  std::_Exit(4);
}
