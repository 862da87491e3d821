#pragma once

/// What was the matter with a run, on one time axis: permits that were away, the controller's
/// alarms and modes, and when each kind of disturbance met containers.

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "firmware_sim/contract/signal_change.hpp"
#include "harness/report/document.hpp"
#include "plant_model/spec/befell.hpp"
#include "plant_model/spec/ledger.hpp"

namespace rimebench {

class LaneLog {
 public:
  void on_change(const SignalChange& change);
  void on_row(const LedgerRow& row);

  /// Spans of the same label that stand closer than the eye can tell are one.
  LanesBlock finish(Instant end) const;

  /// A channel whose value says what is the matter; it stands at 0 from the start.
  struct Watched {
    Channel channel;
    const char* name;
    const char* kind;
    bool away;  ///< its absence is what matters, once it has ever been there
    const char* label;
  };

 private:
  struct Turn {
    Instant at;
    std::int32_t value{};
  };
  static constexpr std::size_t kWatchedMost = 16;

  NamedLane lane_of(std::size_t watched, Instant end) const;

  std::array<std::vector<Turn>, kWatchedMost> turns_;
  std::array<std::vector<LaneSpan>, static_cast<std::size_t>(Befell::kCount)> met_;
};

}  // namespace rimebench
