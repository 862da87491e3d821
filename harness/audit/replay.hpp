#pragma once

/// Yesterday's real inputs against today's controller: the inputs of a trace go to a node, and what
/// it answers is compared with what the trace holds.

#include <cstdint>
#include <deque>
#include <optional>
#include <vector>

#include "harness/link/node.hpp"
#include "harness/trace/reader.hpp"

namespace rimebench {

/// Where the answers part.
struct ReplayDifference {
  std::optional<SignalChange> recorded;  ///< nothing: the trace has no such output
  std::optional<SignalChange> replayed;  ///< nothing: the node gives no such output
  std::vector<SignalChange> before;      ///< the last inputs and agreed outputs, oldest first
};

struct Replay {
  std::uint64_t inputs{};
  std::uint64_t agreed{};  ///< outputs, the same in both
  Instant end;             ///< how far it came
  bool complete{};         ///< the trace has its end
  std::optional<ReplayDifference> difference;

  /// Earlier of the two sides of the difference.
  Instant differs_at() const;
};

/// Replays a freshly opened trace until the first difference or the end. Witnesses are passed over.
/// Throws LinkError when the node is lost, TraceError when the trace is damaged.
Replay replay(TraceReader& trace, Node& node);

}  // namespace rimebench
