#pragma once

#include <algorithm>
#include <span>
#include <vector>

#include "firmware_sim/contract/signal_change.hpp"

namespace rimebench {

/// Input changes made but not yet taken by the controller, in canonical order. Those of a sensor
/// with a delay arrive out of order by a few places and are shifted in from the back.
class InputQueue {
 public:
  void put(SignalChange change) {
    DEMAND(change.at >= reached_);
    if (changes_.size() == taken_ || canonical_before(changes_.back(), change)) {
      changes_.push_back(change);
      return;
    }
    // What an output brings back may lie far before what the upstream half has made already.
    const auto from = changes_.begin() + static_cast<std::ptrdiff_t>(taken_);
    changes_.insert(std::upper_bound(from, changes_.end(), change, canonical_before), change);
  }

  /// The changes before `until`; valid until the next put or take.
  std::span<const SignalChange> before(Instant until) const {
    const auto from = changes_.begin() + static_cast<std::ptrdiff_t>(taken_);
    const auto end = std::partition_point(
        from, changes_.end(), [until](const SignalChange& change) { return change.at < until; });
    return {from, end};
  }

  /// So many changes before `until` wait, or more.
  bool holds(std::size_t count, Instant until) const {
    if (count == 0) return true;
    return count <= changes_.size() - taken_ && changes_[taken_ + count - 1].at < until;
  }

  /// Forgets the changes before `reached`: the controller has them.
  void take(Instant reached) {
    reached_ = reached;
    while (taken_ < changes_.size() && changes_[taken_].at < reached) ++taken_;
    if (taken_ * 2 > changes_.size()) {
      changes_.erase(changes_.begin(), changes_.begin() + static_cast<std::ptrdiff_t>(taken_));
      taken_ = 0;
    }
  }

 private:
  std::vector<SignalChange> changes_;
  std::size_t taken_{0};
  Instant reached_{};
};

}  // namespace rimebench
