#include "harness/intake/edge_filter.hpp"

#include <algorithm>
#include <utility>

namespace rimebench {

EdgeFilter::EdgeFilter(Duration debounce, std::function<void(const SignalChange&)> sink)
    : debounce_{std::max<std::int64_t>(debounce.raw, 1)}, sink_(std::move(sink)) {}

void EdgeFilter::take(const SignalChange& change, std::int64_t& bounces) {
  believe_until(change.at);
  Wire& wire = wires_[change.channel];
  if (wire.pending && wire.pending->value != change.value) ++bounces;
  if (wire.pending && wire.pending->value == change.value) return;
  wire.pending.reset();
  if (change.value != wire.believed) wire.pending = change;
}

/// Believes every level that has held up to `now`.
void EdgeFilter::believe_until(Instant now) {
  Instant oldest = now;
  for (auto& [channel, wire] : wires_) {
    if (!wire.pending) continue;
    if (wire.pending->at + debounce_ <= now) {
      wire.believed = wire.pending->value;
      ++wire.passed;
      believed_.push_back(*wire.pending);
      wire.pending.reset();
    } else {
      oldest = earlier(oldest, wire.pending->at);
    }
  }
  pass_on(oldest);
}

/// What is older than every level still in doubt can go.
void EdgeFilter::pass_on(Instant until) {
  if (believed_.empty()) return;
  std::sort(believed_.begin(), believed_.end(), canonical_before);
  const auto end = std::find_if(believed_.begin(), believed_.end(),
                                [&](const SignalChange& change) { return change.at >= until; });
  std::for_each(believed_.begin(), end, sink_);
  believed_.erase(believed_.begin(), end);
}

void EdgeFilter::finish() { believe_until(kNever); }

std::int64_t EdgeFilter::passed(Channel channel) const {
  const auto wire = wires_.find(channel);
  return wire == wires_.end() ? 0 : wire->second.passed;
}

}  // namespace rimebench
