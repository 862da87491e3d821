#include "harness/dossier/signal_memory.hpp"

#include <algorithm>

namespace rimebench {

namespace {

constexpr std::size_t kKept = 8192;

}  // namespace

void SignalMemory::Level::on_change(const SignalChange& change) {
  const bool up = change.value != 0;
  if (up == up_) return;
  up_ = up;
  if (up) {
    kept_.push_back({change.at, kNever});
    if (kept_.size() > kKept) kept_.pop_front();
  } else {
    kept_.back().until = change.at;
  }
}

std::vector<Stretch> SignalMemory::Level::within(const TimeSpan& span) const {
  const auto first = std::ranges::lower_bound(kept_, span.from, {}, &TimeSpan::until);
  std::vector<Stretch> found;
  for (auto it = first; it != kept_.end() && it->from <= span.until; ++it) {
    found.push_back({{it->from, std::min(it->until, span.until)}, false, {}, {}, {}});
  }
  return found;
}

void SignalMemory::on_change(const SignalChange& change) {
  if (change.channel == Channel::kContainerSensor) sensor_.on_change(change);
  if (change.channel == Channel::kLinePulse) pulses_.on_change(change);
  if (change.channel == Channel::kValve) command_.on_change(change);
  if (change.channel == Channel::kValveActual) opening_.on_change(change);
  if (change.channel == Channel::kLanding && change.value > 0) {
    landings_.push_back({change.at, change.value});
    if (landings_.size() > kKept) landings_.pop_front();
  }
}

ContainerSignals SignalMemory::around(const LedgerRow& row) const {
  const TimeSpan span = whole_way(row);
  ContainerSignals signals{
      sensor_.within(span), pulses_.within(span), command_.within(span), opening_.within(span), {}};
  for (const Landing& landing : landings_) {
    if (landing.container == row.container) signals.landings.push_back(landing.at);
  }
  return signals;
}

}  // namespace rimebench
