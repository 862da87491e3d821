#pragma once

#include <sys/mman.h>
#include <unistd.h>

#include <cstdint>
#include <span>
#include <string>

#include "firmware_sim/units/demand.hpp"

namespace rimebench::fuzz {

/// A file in memory, as long as it lives.
class MemoryFile {
 public:
  explicit MemoryFile(std::span<const std::uint8_t> bytes) {
    DEMAND(descriptor_ >= 0);
    std::size_t written = 0;
    while (written < bytes.size()) {
      const ssize_t size = ::write(descriptor_, bytes.data() + written, bytes.size() - written);
      DEMAND(size > 0);
      written += static_cast<std::size_t>(size);
    }
  }
  MemoryFile(const MemoryFile&) = delete;
  MemoryFile& operator=(const MemoryFile&) = delete;
  ~MemoryFile() { ::close(descriptor_); }

  std::string path() const { return "/proc/self/fd/" + std::to_string(descriptor_); }

 private:
  int descriptor_{::memfd_create("fuzzed", MFD_CLOEXEC)};
};

}  // namespace rimebench::fuzz
