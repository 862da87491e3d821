#pragma once

/// Every channel, once: names for traces, reports and documents. Recipe and counter channels take
/// their names from the parameter and counter tables.

#include <array>

#include "firmware_sim/contract/channel.hpp"

namespace rimebench {

struct ChannelRow {
  Channel channel;
  const char* name;
  const char* unit;  ///< "level" for a wire that is 0 or 1
  const char* doc;
};

inline constexpr auto kChannelTable = std::to_array<ChannelRow>({
    // clang-format off
    {Channel::kContainerSensor, "container_sensor", "level", "a container is in front of the sensor before the nozzle"},
    {Channel::kLinePulse, "line_pulse", "level", "alternates once per fixed belt travel"},
    {Channel::kGroupStart, "group_start", "level", "rises as an inline filler releases its heads"},
    {Channel::kDischargeSensor, "discharge_sensor", "level", "a container leaves the seamer"},
    {Channel::kRunPermit, "run_permit", "level", "the line runs or is about to"},
    {Channel::kSafetyChain, "safety_chain", "level", "guards closed, emergency stops released"},
    {Channel::kSupplyReady, "supply_ready", "level", "liquid nitrogen stands at the dosing head"},
    {Channel::kValveFeedback, "valve_feedback", "level", "the valve has left its seat"},
    {Channel::kFillerRunning, "filler_running", "level", "the filler runs"},
    {Channel::kSeamerRunning, "seamer_running", "level", "the seamer runs"},
    {Channel::kDownstreamFull, "downstream_full", "level", "no room behind the seamer"},
    {Channel::kLidPresent, "lid_present", "level", "a lid was laid on a container"},
    {Channel::kRejectConfirmed, "reject_confirmed", "level", "the eye behind the gate saw a container leave"},
    {Channel::kRejectBinFull, "reject_bin_full", "level", "no room for rejects"},
    {Channel::kGateAir, "gate_air", "level", "air pressure at the gate"},
    {Channel::kPressureLow, "pressure_low", "level", "the pressure check found a soft container"},
    {Channel::kPressureHigh, "pressure_high", "level", "the pressure check found a hard container"},
    {Channel::kLinkAlive, "link_alive", "level", "the other end of the link answers"},
    {Channel::kOperatorStart, "operator_start", "level", "start button"},
    {Channel::kOperatorStop, "operator_stop", "level", "stop button"},
    {Channel::kOperatorReset, "operator_reset", "level", "reset button"},
    {Channel::kOperatorTestShots, "operator_test_shots", "1", "test shots asked for"},
    {Channel::kSupplyLevel, "supply_level", "um", "liquid above the nozzle"},
    {Channel::kSupplyPressure, "supply_pressure", "Pa", "gauge pressure of the head"},
    {Channel::kBodyTemperature, "dosing_body_temperature", "mK", "temperature of the dosing body"},
    {Channel::kRoomOxygen, "room_oxygen", "ppm", "oxygen in the room, by volume"},
    {Channel::kRecipeCommit, "recipe_commit", "crc32", "takes the staged recipe, if whole"},
    {Channel::kValve, "valve", "level", "dosing valve commanded open"},
    {Channel::kReject, "reject", "level", "reject gate commanded"},
    {Channel::kLinePermit, "line_permit", "level", "energised while healthy; the line stops without it"},
    {Channel::kSupplyIsolation, "supply_isolation", "level", "fail-closed valve at the vessel, 1 is open"},
    {Channel::kAlarm, "alarm", "fault", "number of the latched fault"},
    {Channel::kMode, "mode", "mode", "mode of the controller"},
    {Channel::kRecipeState, "recipe_state", "code", "accepted, or why refused"},
    {Channel::kValveActual, "valve_actual", "level", "the valve really lets liquid through"},
    {Channel::kLanding, "landing", "container", "a shot's last liquid landed in this container; -n: shot n missed all"},
    {Channel::kLid, "lid", "container", "a lid was laid on this container"},
    {Channel::kSeam, "seam", "container", "this container was closed"},
    {Channel::kGate, "gate", "container", "this container passed the gate; negative: it was removed"},
    {Channel::kValveCoil, "valve_coil", "level", "the valve's coil is energised, where an interlock stands between it and the command"},
    {Channel::kValvePin, "valve_pin", "level", "paced: the valve's pin, when the node's port measured it"},
    {Channel::kRejectPin, "reject_pin", "level", "paced: the reject gate's pin, likewise"},
    {Channel::kLinePermitPin, "line_permit_pin", "level", "paced: the line permit's pin, likewise"},
    {Channel::kSupplyIsolationPin, "supply_isolation_pin", "level", "paced: the supply isolation's pin, likewise"},
    {Channel::kPacedLateMax, "paced_late_us_max", "us", "paced: an input may reach the node so late; stands from 0 on, all other figures at the end"},
    {Channel::kPacedLockMemory, "paced_lock_memory", "grant", "locked memory: 1 granted, -1 refused, 0 not asked for"},
    {Channel::kPacedRealtime, "paced_realtime", "grant", "real-time priority, likewise"},
    {Channel::kPacedInputs, "paced_inputs", "1", "inputs sent and taken, those of one instant counted once"},
    {Channel::kPacedInputsLate, "paced_inputs_late", "1", "of these, later than paced_late_us_max"},
    {Channel::kPacedFirstLate, "paced_first_late_ms", "ms", "the time of the first of those"},
    {Channel::kPacedLateMedian, "paced_late_us_median", "us", "inputs at the node after their time"},
    {Channel::kPacedLate99, "paced_late_us_99", "us", "99 of a hundred are within it"},
    {Channel::kPacedLateWorst, "paced_late_us_worst", "us", "the worst"},
    {Channel::kPacedBenchMedian, "paced_bench_us_median", "us", "of that, sent late by the bench"},
    {Channel::kPacedBench99, "paced_bench_us_99", "us", "99 of a hundred are within it"},
    {Channel::kPacedBenchWorst, "paced_bench_us_worst", "us", "the worst"},
    {Channel::kPacedLinkMedian, "paced_link_us_median", "us", "of that, on the link"},
    {Channel::kPacedLink99, "paced_link_us_99", "us", "99 of a hundred are within it"},
    {Channel::kPacedLinkWorst, "paced_link_us_worst", "us", "the worst"},
    {Channel::kPacedOutputs, "paced_outputs", "1", "outputs that came, those of one instant counted once"},
    {Channel::kPacedPinMedian, "paced_pin_us_median", "us", "outputs at their pins after they were due"},
    {Channel::kPacedPin99, "paced_pin_us_99", "us", "99 of a hundred are within it"},
    {Channel::kPacedPinWorst, "paced_pin_us_worst", "us", "the worst"},
    {Channel::kPacedClockAheadWhole, "paced_clock_ahead_s", "s", "the node's clock less the bench's, whole seconds"},
    {Channel::kPacedClockAheadRest, "paced_clock_ahead_us", "us", "and the rest of it"},
    {Channel::kPacedClockError, "paced_clock_error_us", "us", "how well that is known"},
    {Channel::kPacedClockDrift, "paced_clock_drift_ppb", "ppb", "how fast the node's clock runs"},
    // clang-format on
});

}  // namespace rimebench
