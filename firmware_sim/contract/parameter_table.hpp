#pragma once

/// Every recipe parameter, once: YAML keys, ranges, units and the documentation all come from here.
/// The core takes the ranges at compile time and leaves the text behind.

#include <array>
#include <cstddef>
#include <cstdint>

#include "firmware_sim/contract/parameter.hpp"
#include "firmware_sim/units/demand.hpp"

namespace rimebench {

struct ParameterRow {
  Parameter parameter;
  const char* key;
  const char* unit;
  int entries;  ///< 1, or the most entries a list may have
  std::int32_t min;
  std::int32_t max;
  std::int32_t default_value;
  const char* doc;
};

inline constexpr std::int32_t kRequired = INT32_MIN;  ///< as a default: the recipe must give it

inline constexpr auto kParameterTable = std::to_array<ParameterRow>({
    // clang-format off
    {Parameter::kLinePulsePitchUm, "line_pulse_pitch_um", "um", 1, 0, 1'000'000, 0, "belt travel per line pulse; 0: the line has no pulse, positions follow line_speed_um_per_s"},
    {Parameter::kLineSpeedUmPerS, "line_speed_um_per_s", "um/s", 1, 1'000, 5'000'000, 500'000, "belt speed where there is no line pulse (a fixed delay from sensor to nozzle)"},
    {Parameter::kSpeedMinUmPerS, "speed_min_um_per_s", "um/s", 1, 0, 5'000'000, 50'000, "below this belt speed nothing is dosed: the container is flagged"},
    {Parameter::kSensorToNozzleUm, "sensor_to_nozzle_um", "um", 1, 1'000, 5'000'000, kRequired, "along the travel, from the container sensor to the nozzle's axis"},
    {Parameter::kNozzleToSeamUm, "nozzle_to_seam_um", "um", 1, 1'000, 20'000'000, kRequired, "along the travel, from the nozzle to the first seaming operation"},
    {Parameter::kEdgeToCentreUm, "edge_to_centre_um", "um", 1, 0, 500'000, kRequired, "from the leading edge that the sensor sees to the centre of the opening"},
    {Parameter::kSensorLatencyUs, "sensor_latency_us", "us", 1, 0, 50'000, 0, "from the edge passing the sensor to the signal's change"},
    {Parameter::kDebounceUs, "debounce_us", "us", 1, 0, 200'000, 2'000, "a sensor level shorter than this is chatter and is ignored"},
    {Parameter::kContainerWidthMinUm, "container_width_min_um", "um", 1, 0, 1'000'000, 1'000, "a container seen narrower than this is not plausible: not dosed, flagged"},
    {Parameter::kContainerWidthMaxUm, "container_width_max_um", "um", 1, 1'000, 2'000'000, 500'000, "a container seen wider than this is not plausible: not dosed, flagged"},
    {Parameter::kPitchMinUm, "pitch_min_um", "um", 1, 0, 1'000'000, 0, "a leading edge closer than this behind the last one belongs to the same container"},
    {Parameter::kLandingLateMaxUm, "landing_late_max_um", "um", 1, 0, 50'000, 5'000, "a shot that would land later than this past the centre is not fired: too late, flagged"},
    {Parameter::kValveOpenDelayUs, "valve_open_delay_us", "us", 1, 0, 200'000, 0, "from the open command to flow"},
    {Parameter::kValveCloseDelayUs, "valve_close_delay_us", "us", 1, 0, 200'000, 0, "from the close command to the end of flow"},
    {Parameter::kFlightUs, "flight_us", "us", 1, 0, 500'000, 0, "from leaving the nozzle to reaching the drink"},
    {Parameter::kOpenUsMin, "open_us_min", "us", 1, 100, 1'000'000, 5'000, "shortest shot that still follows the open curve"},
    {Parameter::kOpenUsMax, "open_us_max", "us", 1, 100, 2'000'000, 150'000, "longest time the valve may be commanded open; the guard closes it and latches a fault"},
    {Parameter::kRestUsMin, "rest_us_min", "us", 1, 0, 1'000'000, 2'000, "shortest time between a close command and the next open command"},
    {Parameter::kValveFeedbackUsMax, "valve_feedback_us_max", "us", 1, 0, 1'000'000, 0, "valve feedback must follow the command within this; 0: no feedback is wired"},
    {Parameter::kOpenCurveUg, "open_curve_ug", "ug", kCurvePoints, 0, 10'000'000, 0, "valve calibration: doses at the nozzle, rising"},
    {Parameter::kOpenCurveUs, "open_curve_us", "us", kCurvePoints, 0, 2'000'000, 0, "valve calibration: the open time that gives each dose, rising"},
    {Parameter::kDoseUg, "dose_ug", "ug", 1, 1, 10'000'000, kRequired, "dose at the nozzle for a container sealed at once; the wait curve raises it"},
    {Parameter::kWaitSource, "wait_source", "choice", 1, 0, 3, 0, "where the expected wait comes from: 0 wait_fixed_us, 1 nozzle_to_seam_um over the belt speed, 2 place_wait_us by place, 3 containers ahead on a queued line and the seamer's measured cycle"},
    {Parameter::kWaitFixedUs, "wait_fixed_us", "us", 1, 0, 600'000'000, 0, "expected wait from landing to seam where wait_source is 0"},
    {Parameter::kWaitCurveUs, "wait_curve_us", "us", kCurvePoints, 0, 600'000'000, 0, "wait curve: waits from landing to seam, rising"},
    {Parameter::kWaitCurvePpm, "wait_curve_ppm", "ppm", kCurvePoints, 0, 20'000'000, 0, "wait curve: the dose's multiple at each wait; 1 000 000 is dose_ug itself"},
    {Parameter::kWaitErrorMaxUs, "wait_error_max_us", "us", 1, 0, 600'000'000, kRequired, "a container whose wait differs more than this from the expected one is flagged"},
    {Parameter::kPlaceSource, "place_source", "choice", 1, 0, 2, 0, "a container's place in its group: 0 none, 1 the number of containers ahead, 2 the head that filled it"},
    {Parameter::kPlaceCount, "place_count", "1", 1, 1, kPlaces, 1, "places in a group; later ones take the last place's wait"},
    {Parameter::kPlaceWaitUs, "place_wait_us", "us", kPlaces, 0, 600'000'000, 0, "expected wait of each place, where wait_source is 2"},
    {Parameter::kGroupStartToSensorUm, "group_start_to_sensor_um", "um", 1, 0, 20'000'000, 0, "belt travel from the group signal to the first head's leading edge at the sensor"},
    {Parameter::kHeadPitchUm, "head_pitch_um", "um", 1, 0, 1'000'000, 0, "distance between the heads of an inline filler"},
    {Parameter::kTransport, "transport", "choice", 1, 0, 1, 0, "from nozzle to seam: 0 locked (screw, star wheel: position follows the belt), 1 queued (first in, first out)"},
    {Parameter::kSensorToGateUm, "sensor_to_gate_um", "um", 1, 0, 50'000'000, 0, "along a locked transport, from the container sensor to the reject gate; 0: no gate"},
    {Parameter::kDischargeToGateUm, "discharge_to_gate_um", "um", 1, 0, 50'000'000, 0, "on a queued line, from the discharge sensor, which sees the leading edge, to the reject gate; 0: no gate"},
    {Parameter::kSeamToDischargeUs, "seam_to_discharge_us", "us", 1, 0, 60'000'000, 0, "on a queued line, from the seam to the edge at the discharge sensor"},
    {Parameter::kGateBeforeUm, "gate_before_um", "um", 1, 0, 1'000'000, 20'000, "the reject command starts this far before the centre reaches the gate"},
    {Parameter::kGateAfterUm, "gate_after_um", "um", 1, 0, 1'000'000, 20'000, "the reject command ends this far after the centre has passed the gate"},
    {Parameter::kSpeedMaxUmPerS, "speed_max_um_per_s", "um/s", 1, 0, 5'000'000, 0, "fastest belt: no dose is made for a wait longer than the shortest possible one plus wait_error_max_us, and a pulse that would mean a faster belt is an extra one; 0: not known, neither is checked"},
    {Parameter::kAccelerationMaxUmPerS2, "acceleration_max_um_per_s2", "um/s2", 1, 0, 50'000'000, 0, "fastest gain of belt speed, for the shortest possible wait; 0: the belt may be at speed_max_um_per_s at once"},
    {Parameter::kSeamerToSeamUs, "seamer_to_seam_us", "us", 1, 0, 60'000'000, 0, "on a queued line, from the seamer taking a container to its seam"},
    {Parameter::kSeamerCycleUs, "seamer_cycle_us", "us", 1, 0, 60'000'000, 0, "planned cycle of a queued line's seamer, where wait_source is 3 and no cycle has been measured yet"},
    {Parameter::kSeamerCycleUsMin, "seamer_cycle_us_min", "us", 1, 0, 60'000'000, 0, "the seamer is never faster than this: bounds the measured cycle and the shortest possible wait"},
    {Parameter::kSeamerCycleUsMax, "seamer_cycle_us_max", "us", 1, 0, 60'000'000, 0, "a discharge interval longer than this is not a cycle of the seamer and is not measured; 0: no limit"},
    {Parameter::kImplausibleRowMax, "implausible_row_max", "1", 1, 0, 100, 0, "containers in a row at which pulses and container sensor may disagree before a fault is latched; 0: they are not held against each other"},
    {Parameter::kPitchUm, "pitch_um", "um", 1, 0, 1'000'000, 0, "leading edges come whole multiples of this apart; 0: they need not"},
    {Parameter::kPitchErrorMaxUm, "pitch_error_max_um", "um", 1, 0, 500'000, 0, "leading edges farther than this from a whole multiple of pitch_um mean that pulses were lost or too many"},
    {Parameter::kPulseJumpMaxPpm, "pulse_jump_max_ppm", "ppm", 1, 0, 10'000'000, 0, "a pulse period that differs by more than this share from the last one means that pulses were lost or too many; 0: not checked"},
    {Parameter::kPulseUsMax, "pulse_us_max", "us", 1, 0, 60'000'000, 0, "while the line has its run permit a pulse must come within this; 0: not checked"},
    {Parameter::kSensorHighUmMax, "sensor_high_um_max", "um", 1, 0, 20'000'000, 0, "the belt never travels farther than this with a container in front of the sensor; 0: not checked"},
    {Parameter::kSensorLowUmMax, "sensor_low_um_max", "um", 1, 0, 50'000'000, 0, "while the filler runs the belt never travels farther than this without a container at the sensor; 0: not checked"},
    {Parameter::kGroupGapUm, "group_gap_um", "um", 1, 0, 20'000'000, 0, "a leading edge farther than this behind the last one begins a group; 0: the group signal does"},
    {Parameter::kGroupSizeMin, "group_size_min", "1", 1, 0, 16, 0, "a group of fewer containers than this is flagged; 0: not checked"},
    {Parameter::kGroupCheck, "group_check", "1", 1, 0, 1, 0, "1: a container beyond the last place of its group, or where no group signal put it, is not dosed and flagged"},
    {Parameter::kRejectNeighbours, "reject_neighbours", "1", 1, 0, 8, 0, "so many containers before and behind a rejected one are rejected too"},
    {Parameter::kDischargeGapUs, "discharge_gap_us", "us", 1, 0, 600'000'000, 0, "on a queued line: after so long without a discharge, belt and seamer running, nothing waits at the seamer and the count begins anew: longer than the slowest cycle, and than twice the time from taking to discharge; 0: it never does"},
    {Parameter::kRejectConfirmUsMax, "reject_confirm_us_max", "us", 1, 0, 60'000'000, 0, "reject confirmed must rise within this after the reject command; 0: no eye is wired"},
    {Parameter::kRejectUnconfirmedMax, "reject_unconfirmed_max", "1", 1, 0, 100, 0, "rejected containers that the eye may miss, one after the other, before a fault is latched"},
    {Parameter::kGateSignals, "gate_signals", "1", 1, 0, 1, 0, "1: gate air, reject bin full and downstream full are wired and heeded"},
    {Parameter::kStreamEnterUmPerS, "stream_enter_um_per_s", "um/s", 1, 0, 5'000'000, 0, "at this belt speed and above the valve is held open from container to container; 0, or no stream_us_max: never"},
    {Parameter::kStreamLeaveUmPerS, "stream_leave_um_per_s", "um/s", 1, 0, 5'000'000, 0, "below this belt speed every container gets its own shot again"},
    {Parameter::kStreamGapUs, "stream_gap_us", "us", 1, 0, 10'000'000, 0, "a stream ends if no container is due within this"},
    {Parameter::kStreamUsMax, "stream_us_max", "us", 1, 0, 600'000'000, 0, "longest time the valve may be commanded open in a stream; the guard closes it and latches a fault"},
    {Parameter::kStreamFlowUgPerS, "stream_flow_ug_per_s", "ug/s", 1, 0, 100'000'000, 0, "flow through the open valve: in a stream a container gets it for as long as its opening passes the nozzle"},
    {Parameter::kOpeningUm, "opening_um", "um", 1, 0, 1'000'000, 0, "the opening's length along the travel"},
    {Parameter::kStreamDoseErrorMaxPpm, "stream_dose_error_max_ppm", "ppm", 1, 0, 1'000'000, 0, "a container whose dose in a stream differs by more than this share from what it needs is flagged"},
    {Parameter::kPurgeUs, "purge_us", "us", 1, 0, 1'800'000'000, 0, "dry purge at each start, the supply still closed, the valve pulsing like a cool-down; 0: none"},
    {Parameter::kCoolDownOpenUs, "cool_down_open_us", "us", 1, 0, 2'000'000, 0, "open time of a shot that dries or cools the head without a container; 0: no such shots"},
    {Parameter::kCoolDownPeriodUs, "cool_down_period_us", "us", 1, 1'000, 600'000'000, 1'000'000, "from one purge or cool-down shot to the next during the start"},
    {Parameter::kCoolDownUsMax, "cool_down_us_max", "us", 1, 0, 2'000'000'000, 0, "longest cool-down of a start: not proven cold by then is a fault; 0: no cool-down, the head counts as cold"},
    {Parameter::kBodyTemperatureMkMax, "body_temperature_mk_max", "mK", 1, 0, 400'000, 0, "the head is cold while the dosing body is not warmer than this; 0: no such sensor"},
    {Parameter::kSupplyLevelUmMin, "supply_level_um_min", "um", 1, 0, 2'000'000, 0, "the head is cold only with this much liquid above the nozzle; 0: no such sensor"},
    {Parameter::kColdHoldUs, "cold_hold_us", "us", 1, 0, 600'000'000, 0, "temperature, level and supply_ready must hold this long to prove the head cold"},
    {Parameter::kTestShotsAtStart, "test_shots_at_start", "1", 1, 0, 100, 0, "test shots fired at each start once the head is cold, before containers are dosed"},
    {Parameter::kTestOpenUs, "test_open_us", "us", 1, 0, 2'000'000, 0, "open time of a test shot; 0: test shots are refused"},
    {Parameter::kTestPeriodUs, "test_period_us", "us", 1, 1'000, 600'000'000, 1'000'000, "from one test shot to the next"},
    {Parameter::kNozzleClearUm, "nozzle_clear_um", "um", 1, 0, 1'000'000, 100'000, "a shot without a container is fired only while no container is nearer to the nozzle than this"},
    {Parameter::kIdleUsMax, "idle_us_max", "us", 1, 0, 1'800'000'000, 0, "after this long without a shot the next doses are unsteady; 0: no dose ever is"},
    {Parameter::kIdlePeriodUs, "idle_period_us", "us", 1, 0, 600'000'000, 0, "while no container comes, a cool-down shot this often keeps the head cold; 0: none"},
    {Parameter::kUnsteadyCount, "unsteady_count", "1", 1, 0, 1'000, 0, "shots after idling whose containers are flagged, where the dosing body has no sensor; where it has one, those dosed while it is too warm"},
    {Parameter::kHeadCurvePa, "head_curve_pa", "Pa", kCurvePoints, 0, 1'000'000, 0, "head curve: pressure at the nozzle, gauge plus liquid column, rising; a head outside it is not dosed"},
    {Parameter::kHeadCurvePpm, "head_curve_ppm", "ppm", kCurvePoints, 0, 20'000'000, 0, "head curve: the open time's multiple at each head; 1 000 000 is open_curve_us itself"},
    {Parameter::kHeadOutUsMax, "head_out_us_max", "us", 1, 0, 600'000'000, 0, "a head outside its curve for this long is a fault; 0: it only flags containers"},
    {Parameter::kRoomOxygenPpmMin, "room_oxygen_ppm_min", "ppm", 1, 0, 1'000'000, 0, "less oxygen in the room closes valve and supply; 0: no such sensor"},
    {Parameter::kValveSlowUs, "valve_slow_us", "us", 1, 0, 1'000'000, 0, "valve feedback later than this is a slow shot: its container is flagged; 0: never"},
    {Parameter::kValveSlowCountMax, "valve_slow_count_max", "1", 1, 0, 100, 0, "so many slow shots in a row are a fault; 0: never"},
    {Parameter::kOpenBudgetUs, "open_budget_us", "us", 1, 0, 60'000'000, 0, "open time the second guard lets the valve have in one go, refilled at open_share_ppm; 0: no second guard"},
    {Parameter::kOpenSharePpm, "open_share_ppm", "ppm", 1, 0, 1'000'000, 0, "share of time by which the open budget refills while the valve is shut"},
    {Parameter::kLandingErrorMaxUm, "landing_error_max_um", "um", 1, 0, 50'000, 0, "a container that, by the next pulse, was seen or met by its shot further than this from where it was believed is flagged; 0: never looked at"},
    // clang-format on
});

/// The table names every slot exactly once and in order.
consteval bool parameter_table_is_dense() {
  int next = 0;
  for (const ParameterRow& row : kParameterTable) {
    if (slot(row.parameter) != next || row.entries < 1 || row.min > row.max) return false;
    const bool has_default = row.default_value != kRequired;
    if (has_default && (row.default_value < row.min || row.default_value > row.max)) return false;
    next += row.entries;
  }
  return next == kParameterSlots;
}
static_assert(parameter_table_is_dense());

/// Every parameter has its row.
constexpr const ParameterRow& row_of(Parameter parameter) {
  std::size_t i = 0;
  while (i < kParameterTable.size() && kParameterTable[i].parameter != parameter) ++i;
  DEMAND(i < kParameterTable.size());
  return kParameterTable[i];
}

}  // namespace rimebench
