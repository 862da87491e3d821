#include "harness/link/paced_rules.hpp"

namespace rimebench {

namespace {

/// What is rounded, or read a little before it is sent or after it has come, is forgiven.
constexpr Duration kForgiven = 100_us;

Duration most_of(Duration bench) { return bench + Duration{bench.raw / 100} + kForgiven; }
Duration least_of(Duration bench) { return bench - Duration{bench.raw / 100} - kForgiven; }

}  // namespace

std::optional<std::string> objection(const PacedTaken& taken,
                                     const std::optional<PacedTaken>& previous) {
  if (taken.replied - taken.received > most_of(taken.arrived - taken.sent)) {
    return "it held inputs longer than they were away: its clock runs wrong";
  }
  if (!previous) return std::nullopt;
  const Duration passed = taken.received - previous->received;
  if (passed.raw < 0) return "its clock ran back";
  const Duration least = taken.sent - previous->arrived;
  const Duration most = taken.arrived - previous->sent;
  if (passed >= least_of(least) && passed <= most_of(most)) return std::nullopt;
  return "its clock ran " + std::to_string(passed.raw) + " us while the bench's ran " +
         std::to_string(least.raw) + " to " + std::to_string(most.raw) + " us";
}

std::optional<std::string> objection(const PacedOutputs& outputs, Instant arrived,
                                     const std::optional<PacedTaken>& taken,
                                     const std::optional<Instant>& due) {
  if (due && outputs.due <= *due) return "its outputs were not due one after the other";
  if (!taken) return std::nullopt;
  if (outputs.due <= taken->received) {
    return "its outputs were due before inputs that it had taken already";
  }
  if (outputs.pins - taken->received > most_of(arrived - taken->sent)) {
    return "its outputs came before they stood at the pins";
  }
  return std::nullopt;
}

std::optional<std::string> objection(std::span<const SignalChange> outputs) {
  const SignalChange* previous = nullptr;
  for (const SignalChange& change : outputs) {
    if (class_of(change.channel) != ChannelClass::kFromController) {
      return "it put out a change on channel " + std::to_string(number(change.channel)) +
             ", which is no output";
    }
    if (previous != nullptr && !canonical_before(*previous, change)) {
      return "its outputs are out of order";
    }
    previous = &change;
  }
  return std::nullopt;
}

}  // namespace rimebench
