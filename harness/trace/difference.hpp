#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "harness/trace/reader.hpp"

namespace rimebench {

/// Where two traces part.
struct TraceDifference {
  static constexpr std::size_t kBeforeMax = 10;

  std::uint64_t agreed{};            ///< changes before it, the same in both
  std::vector<SignalChange> before;  ///< the last of them, at most kBeforeMax, oldest first
  std::optional<SignalChange> in_a;  ///< nothing where trace A ended
  std::optional<SignalChange> in_b;
};

/// The first signal change, of any class, in which two freshly opened traces differ; nothing where
/// they hold the same changes. Ledger rows, headers and footers are not compared. Constant memory.
std::optional<TraceDifference> first_difference(TraceReader& a, TraceReader& b);

}  // namespace rimebench
