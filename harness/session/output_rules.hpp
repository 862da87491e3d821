#pragma once

#include <array>
#include <span>

#include "firmware_sim/contract/signal_change.hpp"

namespace rimebench {

/// Holds a node to the contract: outputs in canonical order, on its own channels, each a real
/// change.
class OutputRules {
 public:
  /// Throws LinkError, naming the output and the rule.
  void check(std::span<const SignalChange> outputs, Instant from, Instant reached);

 private:
  static constexpr std::size_t kChannels = 0x200;  ///< 0x2000 up to and with the counters
  std::array<std::int32_t, kChannels> present_{};
};

}  // namespace rimebench
