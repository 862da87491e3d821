#pragma once

/// The latest of what crossed the wires around the containers: enough to draw any that is still on
/// its way or has just passed the gate.

#include <cstdint>
#include <deque>
#include <vector>

#include "firmware_sim/contract/signal_change.hpp"
#include "harness/dossier/container_drawing.hpp"

namespace rimebench {

class SignalMemory {
 public:
  void on_change(const SignalChange& change);

  /// What lies between its sensor edge and its seam, as far back as it goes.
  ContainerSignals around(const LedgerRow& row) const;

 private:
  /// Of one channel, the times in which it was up.
  class Level {
   public:
    void on_change(const SignalChange& change);
    std::vector<Stretch> within(const TimeSpan& span) const;

   private:
    std::deque<TimeSpan> kept_;
    bool up_{false};
  };
  struct Landing {
    Instant at;
    std::int64_t container{};
  };

  Level sensor_;
  Level pulses_;
  Level command_;
  Level opening_;
  std::deque<Landing> landings_;
};

}  // namespace rimebench
