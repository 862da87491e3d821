#pragma once

/// The words that stand for numbers in a scenario.

#include <array>
#include <span>

#include "firmware_sim/contract/parameter.hpp"
#include "harness/config/scenario.hpp"

namespace rimebench {

inline constexpr auto kTransportWords = std::to_array<const char*>({"locked", "queued"});
inline constexpr auto kFillerKindWords = std::to_array<const char*>({"rotary", "inline"});
inline constexpr auto kClaimWords =
    std::to_array<const char*>({"steady", "handled", "escape", "trial", "lost"});
inline constexpr auto kWaitSourceWords =
    std::to_array<const char*>({"fixed", "belt_speed", "place", "queue"});
inline constexpr auto kPlaceSourceWords =
    std::to_array<const char*>({"none", "containers_ahead", "head_number"});
static_assert(static_cast<int>(Transport::kQueued) == 1);
static_assert(static_cast<int>(FillerKind::kInline) == 1);
static_assert(static_cast<int>(Claim::kLost) == 4);
static_assert(static_cast<int>(WaitSource::kQueue) == 3);
static_assert(static_cast<int>(PlaceSource::kHeadNumber) == 2);

/// The words of a recipe parameter that is a choice; empty if it is a number.
constexpr std::span<const char* const> words_of(Parameter parameter) {
  if (parameter == Parameter::kWaitSource) return kWaitSourceWords;
  if (parameter == Parameter::kPlaceSource) return kPlaceSourceWords;
  if (parameter == Parameter::kTransport) return kTransportWords;
  return {};
}

}  // namespace rimebench
