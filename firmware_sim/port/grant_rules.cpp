#include "firmware_sim/port/grant_rules.hpp"

namespace rimebench {

std::optional<Refusal> objection(const GrantMessage& grant, std::uint16_t seq, Instant reached) {
  if (grant.seq != seq) return Refusal::kSequence;
  if (grant.until <= reached) return Refusal::kTime;
  const SignalChange* previous = nullptr;
  for (const SignalChange& change : grant.changes) {
    if (class_of(change.channel) != ChannelClass::kToController) return Refusal::kChannel;
    if (change.at < reached || change.at >= grant.until) return Refusal::kOrder;
    if (previous != nullptr && !canonical_before(*previous, change)) return Refusal::kOrder;
    previous = &change;
  }
  return std::nullopt;
}

}  // namespace rimebench
