#pragma once

/// What befell a container: the disturbances of the scenario that met it on its way. A container
/// may have met several, so its ledger row carries a set: one bit for each.

#include <array>
#include <cstdint>
#include <string>

namespace rimebench {

/// A value is never reused: traces carry the bits.
enum class Befell : std::uint8_t {
  kChatter,          ///< drops of drink on the sensor as it arrived
  kSplashEcho,       ///< a false level behind it
  kUnseen,           ///< the sensor did not show it
  kShoulder,         ///< the level dropped while it was in front of the sensor
  kSensorStuck,      ///< the sensor stood still as it came by
  kSensorDrift,      ///< the sensor was not where the recipe has it
  kFallen,           ///< lay on its side
  kTouching,         ///< stood against the one ahead
  kExtra,            ///< put in by hand between two others
  kWrongContainer,   ///< another container of the same diameter
  kStop,             ///< on its way from sensor to seam as the line stopped
  kEmergencyStop,    ///< the same, with the safety chain opened
  kCreep,            ///< the belt fell to a crawl, or jammed
  kSpeedStep,        ///< the line changed its speed at once
  kHunting,          ///< the line's speed swung to and fro
  kJog,              ///< moved on by hand during a stop
  kReverse,          ///< turned back by hand during a stop
  kSlip,             ///< the belt moved it less than the pulses said
  kPulseFault,       ///< a line pulse was lost or doubled on its way from sensor to nozzle
  kShortGroup,       ///< its group was smaller than the filler's heads
  kGroupSignalLost,  ///< the signal of its group never came
  kGroupSignalLate,  ///< the signal of its group came late
  kSeamerSlow,       ///< the seamer took longer than planned
  kSeamerStop,       ///< the seamer stood
  kDownstreamFull,   ///< no room behind the seamer
  kPermitFlicker,    ///< the run permit dropped for a moment
  kSafetyChain,      ///< the safety chain was open
  kLinkFlicker,      ///< the link was not alive
  kTakenBeforeSeam,  ///< taken away by hand between nozzle and seamer
  kTakenBehindSeam,  ///< taken away by hand between seamer and discharge sensor
  kValveTrouble,     ///< the valve that dosed it was out of order
  kStrayLiquid,      ///< liquid that no opening passed fell in: a leak, a valve open by itself
  kVapour,           ///< part of its shot was gas: a warm hose or dosing body
  kGateTrouble,      ///< the gate was out of order, or its bin full, as it passed
  kPressureEjected,  ///< the pressure check took it out
  kLowHead,          ///< less head than at the bath's refill mark as it was dosed
  kFeedPause,        ///< on its way from sensor to seam as the filler paused
  kControllerDown,   ///< the controller hung, had no supply, or was not started again yet
  kCount,
};

inline constexpr auto kBefellNames = std::to_array<const char*>({"chatter",
                                                                 "splash_echo",
                                                                 "unseen",
                                                                 "shoulder",
                                                                 "sensor_stuck",
                                                                 "sensor_drift",
                                                                 "fallen",
                                                                 "touching",
                                                                 "extra",
                                                                 "wrong_container",
                                                                 "stop",
                                                                 "emergency_stop",
                                                                 "creep",
                                                                 "speed_step",
                                                                 "hunting",
                                                                 "jog",
                                                                 "reverse",
                                                                 "slip",
                                                                 "pulse_fault",
                                                                 "short_group",
                                                                 "group_signal_lost",
                                                                 "group_signal_late",
                                                                 "seamer_slow",
                                                                 "seamer_stop",
                                                                 "downstream_full",
                                                                 "permit_flicker",
                                                                 "safety_chain",
                                                                 "link_flicker",
                                                                 "taken_before_seam",
                                                                 "taken_behind_seam",
                                                                 "valve_trouble",
                                                                 "stray_liquid",
                                                                 "vapour",
                                                                 "gate_trouble",
                                                                 "pressure_ejected",
                                                                 "low_head",
                                                                 "feed_pause",
                                                                 "controller_down"});
static_assert(kBefellNames.size() == static_cast<std::size_t>(Befell::kCount));
static_assert(static_cast<int>(Befell::kCount) < 63, "one bit each of a ledger column");

/// The bit of one disturbance in LedgerRow::befell.
constexpr std::int64_t befell_bit(Befell what) { return std::int64_t{1} << static_cast<int>(what); }

constexpr bool has_befallen(std::int64_t befell, Befell what) {
  return (befell & befell_bit(what)) != 0;
}

/// "fallen+stop", or "none".
inline std::string befell_text(std::int64_t befell) {
  std::string text;
  for (int i = 0; i < static_cast<int>(Befell::kCount); ++i) {
    if (!has_befallen(befell, static_cast<Befell>(i))) continue;
    text += (text.empty() ? "" : "+") + std::string(kBefellNames[static_cast<std::size_t>(i)]);
  }
  return text.empty() ? "none" : text;
}

}  // namespace rimebench
