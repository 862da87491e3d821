#include "harness/session/clock_fit.hpp"

#include <algorithm>
#include <cmath>

namespace rimebench {

namespace {

constexpr Duration kWindow = 1_s;
/// An exchange slower than twice the quickest and this says too little.
constexpr Duration kSlack = 100_us;

}  // namespace

void ClockFit::add(const ClockExchange& exchange) {
  const Duration travel = std::max(exchange.travel(), Duration{0});
  // Both ways took the same: the middle of the node's stamps is the middle of the bench's.
  const std::int64_t twice =
      (exchange.received.us - exchange.sent.us) + (exchange.replied.us - exchange.arrived.us);
  const Sample sample{exchange.received, halved_floor(Duration{twice}), travel};
  quickest_ = std::min(quickest_, travel);
  if (exchange.arrived >= second_ends_) {
    if (best_) keep(*best_);
    best_.reset();
    second_ends_ = exchange.arrived + kWindow;
  }
  if (!best_ || travel < best_->travel) best_ = sample;
}

void ClockFit::keep(const Sample& sample) {
  if (sample.travel > quickest_ + quickest_ + kSlack) return;
  if (!first_) first_ = sample;
  last_ = sample;
  const Duration since = last_->node - first_->node;
  if (since < kWindow) return;
  drift_ =
      static_cast<double>((last_->offset - first_->offset).raw) / static_cast<double>(since.raw);
}

Instant ClockFit::to_bench(Instant node) const {
  const Sample& from = reference();
  const double gained = drift_ * static_cast<double>((node - from.node).raw);
  return node - from.offset - Duration{std::llround(gained)};
}

}  // namespace rimebench
