#include "harness/link/grant_cut.hpp"

#include "firmware_sim/units/demand.hpp"
#include "firmware_sim/wire/message.hpp"

namespace rimebench {

GrantPiece cut_grant(std::span<const SignalChange> inputs, Instant until, std::size_t capacity) {
  std::size_t bytes = kGrantHeadMax;
  std::size_t count = 0;
  std::size_t whole_instants = 0;  // inputs before the instant of the last one
  Instant previous{};
  for (; count < inputs.size() && inputs[count].at < until; ++count) {
    const SignalChange& change = inputs[count];
    DEMAND(count == 0 || canonical_before(inputs[count - 1], change));
    if (count == 0 || change.at != previous) whole_instants = count;
    bytes += change_size(previous, change);
    if (count == capacity || bytes > kPayloadMax) {
      DEMAND(whole_instants > 0);
      return {change.at, inputs.first(whole_instants)};
    }
    previous = change.at;
  }
  return {until, inputs.first(count)};
}

}  // namespace rimebench
