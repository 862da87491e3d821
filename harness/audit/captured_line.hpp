#pragma once

/// All that a capture holds, in memory: some 16 bytes a signal change.

#include <cstddef>
#include <optional>
#include <set>
#include <vector>

#include "firmware_sim/contract/signal_change.hpp"

namespace rimebench {

struct CapturedLine {
  std::vector<SignalChange> changes;  ///< in canonical order
  std::set<Channel> wires;            ///< captured, though some may never have changed
  Instant begin{-1};  ///< what changes then is no edge but the level that was there before
  Instant end;
  bool complete{true};  ///< false: it was cut off

  bool has(Channel channel) const { return wires.contains(channel); }
  /// The wire is not only there, it also goes high in the capture.
  bool rises(Channel channel) const;
  /// It holds the loading of a recipe, as a run of the bench does.
  bool has_own_start() const { return rises(Channel::kRecipeCommit); }
  /// What the wire shows at `begin`.
  std::int32_t first_level(Channel channel) const;
};

/// A level that was high from one edge to the next. What was high from the start or to the end has
/// no such edge.
struct Pulse {
  double from_us{};
  double to_us{};
  double length() const { return to_us - from_us; }
};

/// The changes of one channel.
std::vector<SignalChange> changes_of(const CapturedLine& line, Channel channel);
/// The whole pulses of a wire, cut ones left out.
std::vector<Pulse> pulses_of(const CapturedLine& line, Channel channel);

}  // namespace rimebench
