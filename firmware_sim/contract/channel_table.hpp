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
    // clang-format on
});

}  // namespace rimebench
