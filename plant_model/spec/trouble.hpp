#pragma once

#include <cstdint>
#include <vector>

#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

enum class ValveTroubleKind : std::uint8_t {
  kSlow,        ///< opens and closes later
  kSticksShut,  ///< a share of the open commands comes late, or not at all
  kSticksOpen,  ///< the same of the close commands
  kLeaks,       ///< drips while it is shut
  kIced,        ///< passes less, until it has thawed
  kFailsOpen,   ///< opens by itself and stays open, whatever the coil does
  kDrifts,      ///< its flow moves away from the calibration
  kDeflected,   ///< ice at the nozzle throws the jet aside, less and less
};

/// The valve out of order from `at` on, for `lasts`. A kind uses only the members that its keys
/// name.
struct ValveTrouble {
  ValveTroubleKind kind{};
  Instant at;
  Duration lasts;
  Duration opens_later{};     ///< slow
  Duration closes_later{};    ///< slow
  Duration grows{};           ///< slow, drifts: to its full size within this
  std::int64_t share_ppm{};   ///< sticks: of the commands
  Duration late{};            ///< sticks: so late; 0: the command has no effect
  double flow_percent{};      ///< iced: what is left of the flow; drifts: what is added to it
  double leak_mg_per_s{};     ///< leaks
  std::int64_t lateral_um{};  ///< deflected: the jet lands so far beside, at first
};

enum class GateTroubleKind : std::uint8_t {
  kStuckIn,     ///< never comes out
  kStuckOut,    ///< never goes back
  kSlow,        ///< moves later
  kLowAir,      ///< its air is low, which its switch tells, and a share of its strokes fails
  kMisses,      ///< a share of its strokes fails, and nothing tells
  kEyeBlind,    ///< the confirm eye misses a share of the removals
  kBinEmptied,  ///< the operator empties the bin
};

/// The gate out of order from `at` on, for `lasts`.
struct GateTrouble {
  GateTroubleKind kind{};
  Instant at;
  Duration lasts;
  Duration out_later{};      ///< slow
  Duration back_later{};     ///< slow
  std::int64_t share_ppm{};  ///< low air, misses, eye blind
};

/// The next instant after `turned` at which one of these begins or ends; kNever if none does.
template <class Trouble>
Instant next_trouble_edge(const std::vector<Trouble>& troubles, Instant turned) {
  Instant next = kNever;
  for (const Trouble& one : troubles) {
    if (one.at > turned) next = earlier(next, one.at);
    if (one.at + one.lasts > turned) next = earlier(next, one.at + one.lasts);
  }
  return next;
}

/// From a moment on the controller does nothing any more and its outputs stay as they are; then the
/// node's own watchdog, if it has one, drops them all for good.
struct CoreHang {
  Instant at;
  Duration watchdog;  ///< 0: there is none
};

/// The controller loses its supply, and so long after a fresh one comes up.
struct CoreRestart {
  Instant at;
  Duration lasts;
};

enum class LinkFaultKind : std::uint8_t {
  kGrantLost,
  kGrantDamaged,
  kAnswerLost,
  kAnswerDamaged,
  kAnswerRepeated,  ///< the answer before it comes once more, ahead of it
  kAnswersLate,     ///< from there on
  kCut,             ///< the connection is gone
};

/// What goes wrong between bench and controller, with the first frame of a moment.
struct LinkFault {
  LinkFaultKind kind{};
  Instant at;
  Duration late{};  ///< answers late
};

}  // namespace rimebench
