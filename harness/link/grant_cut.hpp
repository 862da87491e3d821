#pragma once

#include <cstddef>
#include <span>

#include "firmware_sim/contract/signal_change.hpp"

namespace rimebench {

/// What of a grant travels in one frame.
struct GrantPiece {
  Instant until;
  std::span<const SignalChange> inputs;  ///< all before `until`
};

/// Cuts the longest piece that one frame carries off the front of a grant to `until`: at most
/// `capacity` changes, and no more bytes than a payload holds. A piece that is not the whole grant
/// ends at the first instant that no longer fits, since a grant cannot end inside one. Panics on
/// inputs out of canonical order or if the inputs of a single instant do not fit.
GrantPiece cut_grant(std::span<const SignalChange> inputs, Instant until, std::size_t capacity);

}  // namespace rimebench
