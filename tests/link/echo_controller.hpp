#pragma once

/// A controller small enough to know its outputs by heart: 1000 us after a container is seen the
/// valve opens, 500 us later it shuts, and the counter of rejects follows the containers seen.

#include <deque>

#include "firmware_sim/core/outputs.hpp"

namespace rimebench::test {

inline constexpr Duration kEchoDelay{1'000};
inline constexpr Duration kEchoOpen{500};

class EchoController {
 public:
  void on_change(SignalChange change) {
    DEMAND(change.at >= settled_);
    unsettled_ = change.at;
    if (change.channel != Channel::kContainerSensor || change.value == 0) return;
    ++seen_;
    insert({change.at, counter_channel(Counter::kRejected), seen_});
    insert({change.at + kEchoDelay, Channel::kValve, 1});
    insert({change.at + kEchoDelay + kEchoOpen, Channel::kValve, 0});
  }

  Outputs advance(Instant until) {
    const Instant now = next_wake();
    Outputs outputs(now);
    if (now >= until) return outputs;
    for (; !due_.empty() && due_.front().at == now; due_.pop_front()) {
      outputs.push_back(due_.front().channel, due_.front().value);
    }
    settled_ = now + 1_us;
    unsettled_ = kNever;
    return outputs;
  }

  Instant next_wake() const {
    return due_.empty() ? unsettled_ : earlier(unsettled_, due_.front().at);
  }

 private:
  void insert(SignalChange change) {
    auto place = due_.begin();
    while (place != due_.end() && canonical_before(*place, change)) ++place;
    due_.insert(place, change);
  }

  std::deque<SignalChange> due_;
  Instant settled_{};          // no input may come before it
  Instant unsettled_{kNever};  // of inputs taken
  std::int32_t seen_{};
};

}  // namespace rimebench::test
