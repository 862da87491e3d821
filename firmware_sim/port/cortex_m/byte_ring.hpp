#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

namespace rimebench {

/// Bytes between an interrupt and the program it interrupts: one side only puts, the other only
/// takes, and each writes its own index alone. A power of two, so that indices may wrap.
template <std::size_t kCapacity>
class ByteRing {
  static_assert((kCapacity & (kCapacity - 1)) == 0);

 public:
  bool empty() const { return put_ == taken_; }
  bool full() const { return put_ - taken_ == kCapacity; }

  /// Only where not full.
  void put(std::uint8_t byte) {
    bytes_[put_ % kCapacity] = byte;
    compiler_barrier();
    put_ = put_ + 1;
  }

  /// Only where not empty.
  std::uint8_t take() {
    const std::uint8_t byte = bytes_[taken_ % kCapacity];
    compiler_barrier();
    taken_ = taken_ + 1;
    return byte;
  }

 private:
  /// The byte must be in its place before the index says so. One core needs no more than that.
  static void compiler_barrier() { asm volatile("" ::: "memory"); }

  std::array<std::uint8_t, kCapacity> bytes_{};
  volatile std::uint32_t put_{};
  volatile std::uint32_t taken_{};
};

}  // namespace rimebench
