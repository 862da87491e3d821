#pragma once

/// What stamps of a paced node can be true, whatever the link does in between. For the bench, which
/// ends a run on a lie, and for the battery, which tells of it.

#include <optional>
#include <string>

#include "harness/link/paced_node.hpp"

namespace rimebench {

/// Why these stamps cannot be true, `previous` being those of the exchange before; nothing if they
/// can. A clock that is off by more than a hundredth is none.
std::optional<std::string> objection(const PacedTaken& taken,
                                     const std::optional<PacedTaken>& previous);

/// Likewise of outputs that came at `arrived`; `taken` and `due` are of the last messages before.
std::optional<std::string> objection(const PacedOutputs& outputs, Instant arrived,
                                     const std::optional<PacedTaken>& taken,
                                     const std::optional<Instant>& due);

/// Why these are no outputs of one instant; nothing if they are.
std::optional<std::string> objection(std::span<const SignalChange> outputs);

}  // namespace rimebench
