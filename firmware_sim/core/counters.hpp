#pragma once

#include <array>
#include <cstdint>

#include "firmware_sim/contract/fault.hpp"

namespace rimebench {

/// Everything that was refused or corrected; values only grow.
class Counters {
 public:
  void add(Counter counter) {
    std::int32_t& value = values_[static_cast<unsigned>(counter)];
    if (value == INT32_MAX) return;  // unreached: 60 hours of chatter at 10 kHz
    ++value;
    grown_ = true;
  }
  std::int32_t value(Counter counter) const { return values_[static_cast<unsigned>(counter)]; }
  /// True once after any counter grew.
  bool take_grown() {
    const bool grown = grown_;
    grown_ = false;
    return grown;
  }

 private:
  std::array<std::int32_t, static_cast<unsigned>(Counter::kCount)> values_{};
  bool grown_ = false;
};

}  // namespace rimebench
