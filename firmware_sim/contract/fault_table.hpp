#pragma once

/// Names and meanings of faults, counters and modes, once: reports, documents and YAML come from
/// here.

#include <array>

#include "firmware_sim/contract/fault.hpp"

namespace rimebench {

struct FaultRow {
  Fault fault;
  const char* name;
  const char* raised;
  const char* clears;  ///< what must be so for the operator's reset to clear it, beside interlocks
  const char* operator_action;
};

inline constexpr auto kFaultTable = std::to_array<FaultRow>({
    // clang-format off
    {Fault::kNone, "none", "never", "nothing to clear", "nothing"},
    {Fault::kSafetyChainLost, "safety_chain_lost", "the safety chain opened", "the chain is closed", "make the machine safe, close the chain, reset"},
    {Fault::kLinkLost, "link_lost", "the other end of the link fell silent", "the link is alive", "restore the link, reset"},
    {Fault::kSupplyLost, "supply_lost", "supply ready fell while running", "supply ready is back", "restore liquid nitrogen at the head, reset"},
    {Fault::kOpenTooLong, "open_too_long", "the valve was commanded open beyond open_us_max", "the reset alone", "close the supply, find why, reset"},
    {Fault::kOpenWithoutContainer, "open_without_container", "an open command named no container", "the reset alone", "keep the valve isolated and report it: a fault of the logic"},
    {Fault::kValveStuckOpen, "valve_stuck_open", "feedback stayed open after the close command", "feedback shows the valve shut", "close the supply by hand, thaw or replace the valve, reset"},
    {Fault::kValveStuckClosed, "valve_stuck_closed", "feedback stayed closed after the open command", "feedback shows the valve shut", "thaw or replace the valve, reset"},
    {Fault::kContainerQueueFull, "container_queue_full", "more containers between sensor and gate than can be tracked", "the reset, which takes the line to be clear", "clear the line between sensor and gate, reset"},
    {Fault::kPulseLost, "pulse_lost", "no line pulse came while the belt should run or while containers passed the sensor", "the reset, which takes the line to be clear", "find the pulse's wire or wheel, clear the line between sensor and gate, reset"},
    {Fault::kPulseImplausible, "pulse_implausible", "line pulses and container sensor disagreed on container after container", "the reset, which takes the line to be clear", "find why pulses slip, are lost or too many, clear the line between sensor and gate, reset"},
    {Fault::kSensorStuckHigh, "sensor_stuck_high", "the container sensor stayed high over sensor_high_um_max of travel", "the reset, which takes the line to be clear", "clean or realign the sensor, clear a jam, clear the line between sensor and gate, reset"},
    {Fault::kSensorStuckLow, "sensor_stuck_low", "the filler ran and the container sensor stayed low over sensor_low_um_max of travel", "the reset, which takes the line to be clear", "clean or realign the sensor, clear the line between sensor and gate, reset"},
    {Fault::kRejectUnconfirmed, "reject_unconfirmed", "the eye behind the gate did not see rejected containers leave", "the reset alone", "take the bad containers out by hand, free the gate, reset"},
    {Fault::kGateAirLow, "gate_air_low", "the gate's air pressure fell", "the air is back", "take the bad containers out by hand, restore the air, reset"},
    {Fault::kRejectBinFull, "reject_bin_full", "the reject bin was full", "the bin is not full", "empty the bin, reset"},
    {Fault::kCoolDownTooLong, "cool_down_too_long", "the head was not proven cold within cool_down_us_max", "the reset alone", "look for liquid nitrogen at the head and at the sensors, reset, start again"},
    {Fault::kRoomOxygenLow, "room_oxygen_low", "oxygen in the room fell below room_oxygen_ppm_min", "the sample is at its limit again", "leave the room, air it, reset"},
    {Fault::kHeadOutOfRange, "head_out_of_range", "the head stayed outside its curve for head_out_us_max", "the reset alone", "restore level and pressure at the head, reset"},
    {Fault::kValveSlow, "valve_slow", "valve_slow_count_max shots in a row were slow", "feedback shows the valve shut", "thaw or service the valve, reset"},
    {Fault::kOpenTooMuch, "open_too_much", "the second guard found its open budget spent", "the reset alone", "close the supply by hand, find why, reset"},
    // clang-format on
});
static_assert(kFaultTable.size() == static_cast<std::size_t>(Fault::kCount));

struct CounterRow {
  Counter counter;
  const char* name;
  const char* doc;
};

inline constexpr auto kCounterTable = std::to_array<CounterRow>({
    // clang-format off
    {Counter::kChatterRejected, "chatter_rejected", "sensor levels shorter than debounce_us, ignored"},
    {Counter::kDoubleEdge, "double_edge", "second edges of one container, ignored"},
    {Counter::kWidthImplausible, "width_implausible", "containers too narrow or too wide: not dosed, flagged"},
    {Counter::kTooSlow, "too_slow", "containers due below speed_min_um_per_s: not dosed, flagged"},
    {Counter::kTooLate, "too_late", "containers whose shot would have landed past the window: not dosed, flagged"},
    {Counter::kNotRunning, "not_running", "containers due while not in Execute: not dosed, flagged"},
    {Counter::kDoseOutOfRange, "dose_out_of_range", "containers whose open time fell outside its limits: not dosed, flagged"},
    {Counter::kRestTooShort, "rest_too_short", "containers due before the valve had rested: not dosed, flagged"},
    {Counter::kShotCut, "shot_cut", "shots closed before their time: flagged"},
    {Counter::kWaitOutOfRange, "wait_out_of_range", "dosed containers that waited too long or too short: flagged"},
    {Counter::kPlaceSaturated, "place_saturated", "containers beyond the last place of their group"},
    {Counter::kDischargeUnexpected, "discharge_unexpected", "containers at the discharge sensor that were never admitted: rejected"},
    {Counter::kRejected, "rejected", "containers sent to the reject gate"},
    {Counter::kWaitCapped, "wait_capped", "doses made for a shorter wait than expected, since the container might be sealed that soon"},
    {Counter::kPulseLost, "pulse_lost", "gaps in the line pulses: filled in, the containers on their way to the nozzle are not dosed, flagged"},
    {Counter::kPulseExtra, "pulse_extra", "line pulses that came too soon, ignored"},
    {Counter::kPitchImplausible, "pitch_implausible", "containers that came off the pitch: those that were on their way to the nozzle are not dosed, flagged"},
    {Counter::kReversal, "reversal", "line pulses while the belt stood without its permit (moved by hand): all between sensor and gate is rejected, what comes by the sensor again is not dosed; containers seen again without them: those on their way to the nozzle are not dosed, flagged"},
    {Counter::kGroupSizeWrong, "group_size_wrong", "groups of fewer containers than group_size_min: flagged"},
    {Counter::kGroupUnannounced, "group_unannounced", "containers where no group signal put one: not dosed, flagged"},
    {Counter::kDischargeMissing, "discharge_missing", "containers that never came to the discharge sensor"},
    {Counter::kCountUnsure, "count_unsure", "containers rejected because the count between nozzle and discharge was not sure"},
    {Counter::kNeighbourRejected, "neighbour_rejected", "containers rejected because a neighbour was"},
    {Counter::kRejectUnconfirmed, "reject_unconfirmed", "rejected containers that the eye behind the gate did not see leave"},
    {Counter::kStreamBegun, "stream_begun", "streams, each of them one opening of the valve for several containers"},
    {Counter::kStreamDoseWrong, "stream_dose_wrong", "containers whose dose in a stream was out of range: flagged"},
    {Counter::kCoolDownShot, "cool_down_shot", "shots fired without a container to dry or cool the head"},
    {Counter::kTestShot, "test_shot", "test shots fired to their end"},
    {Counter::kTestShotRefused, "test_shot_refused", "requests for test shots refused"},
    {Counter::kDoseUnsteady, "dose_unsteady", "containers dosed by a head that had idled or was warm: flagged"},
    {Counter::kHeadUnfit, "head_unfit", "containers due while the head was outside its curve: not dosed, flagged"},
    {Counter::kSlowShot, "slow_shot", "shots whose valve opened or shut slowly: flagged"},
    {Counter::kLandingOff, "landing_off", "containers that the next pulse showed to be elsewhere when they were seen or their shot landed: flagged"},
    // clang-format on
});
static_assert(kCounterTable.size() == static_cast<std::size_t>(Counter::kCount));

/// The name of a value of the alarm channel, which may come from outside; null if there is none.
constexpr const char* fault_name(std::int32_t value) {
  for (const FaultRow& row : kFaultTable) {
    if (static_cast<std::int32_t>(row.fault) == value) return row.name;
  }
  return nullptr;
}

inline constexpr auto kModeNames =
    std::to_array<const char*>({"Stopped", "Idle", "Execute", "Suspended", "Aborted", "Starting"});
static_assert(kModeNames.size() == static_cast<std::size_t>(Mode::kCount));

}  // namespace rimebench
