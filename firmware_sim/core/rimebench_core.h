#pragma once

/// The contract between bench and dose controller in plain C99: what crosses the boundary, every
/// number on it, and the three calls that make a controller. PROTOCOL.md in firmware_sim/wire tells
/// what the numbers mean and what the line relies on; parameter units and ranges stand there too.
///
///   your controller ─> struct rimebench_controller ─> rimebench_serve (firmware_sim/port): a node
///   our controller  ─> rimebench_core_* below      ─> your firmware, without heap, clock or OS
///
/// A test holds every number here against the tables of firmware_sim/contract.

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/// At `at_us`, in microseconds since the run began, the wire `channel` takes `value`. A channel
/// starts at 0 and changes at most once an instant; a change to its present value is none.
typedef struct rimebench_change {
  int64_t at_us;
  uint16_t channel;
  int32_t value;
} rimebench_change;

/// Later than every instant of a run.
#define RIMEBENCH_NEVER (INT64_MAX / 4)

/// The most output changes of one instant: one a channel.
#define RIMEBENCH_OUTPUTS_MAX 40

/// A controller: four functions and what they work on. Time comes only from the inputs. Calls come
/// from one thread, in this loop:
///   start, then again and again: on_change for every input of one instant, if there is one no
///   later than next_wake; then advance, which settles that instant or the one of next_wake.
typedef struct rimebench_controller {
  void* context;

  /// Power-on: forgets everything. Called once a session, before all others.
  void (*start)(void* context);

  /// Takes one input. Inputs come in time order, within an instant in channel order, and all of one
  /// instant before anything is made of them.
  void (*on_change)(void* context, const rimebench_change* change);

  /// Settles the earliest instant that is before `until_us` and has inputs taken or a timer due; at
  /// one instant the inputs come first. Writes the outputs that change at it to `outputs`, which
  /// has room for RIMEBENCH_OUTPUTS_MAX, in rising channel order, stamped with that instant, and
  /// returns their number.
  size_t (*advance)(void* context, int64_t until_us, rimebench_change* outputs);

  /// The instant that advance would settle next: that of the inputs taken, else the first timer's;
  /// RIMEBENCH_NEVER if there is none. Past the instant last settled. Holds until the next input.
  int64_t (*next_wake)(const void* context);
} rimebench_controller;

// Each list is X(NAME, number...), so that a program can make tables of its own from them.
// clang-format off
#define RIMEBENCH_CHANNELS(X) \
  X(CONTAINER_SENSOR, 0x0001) X(LINE_PULSE, 0x0002) X(GROUP_START, 0x0003) \
  X(DISCHARGE_SENSOR, 0x0004) X(RUN_PERMIT, 0x0005) X(SAFETY_CHAIN, 0x0006) \
  X(SUPPLY_READY, 0x0007) X(VALVE_FEEDBACK, 0x0008) X(FILLER_RUNNING, 0x0009) \
  X(SEAMER_RUNNING, 0x000a) X(DOWNSTREAM_FULL, 0x000b) X(LID_PRESENT, 0x000c) \
  X(REJECT_CONFIRMED, 0x000d) X(REJECT_BIN_FULL, 0x000e) X(GATE_AIR, 0x000f) \
  X(PRESSURE_LOW, 0x0010) X(PRESSURE_HIGH, 0x0011) X(LINK_ALIVE, 0x0012) \
  X(OPERATOR_START, 0x0013) X(OPERATOR_STOP, 0x0014) X(OPERATOR_RESET, 0x0015) \
  X(OPERATOR_TEST_SHOTS, 0x0016) X(SUPPLY_LEVEL, 0x0017) X(SUPPLY_PRESSURE, 0x0018) \
  X(DOSING_BODY_TEMPERATURE, 0x0019) X(ROOM_OXYGEN, 0x001a) \
  X(RECIPE_COMMIT, 0x1fff) \
  X(VALVE, 0x2001) X(REJECT, 0x2002) X(LINE_PERMIT, 0x2003) X(SUPPLY_ISOLATION, 0x2004) \
  X(ALARM, 0x2005) X(MODE, 0x2006) X(RECIPE_STATE, 0x2007) \
  X(VALVE_ACTUAL, 0x3001) X(LANDING, 0x3002) X(LID, 0x3003) X(SEAM, 0x3004) X(GATE, 0x3005) \
  X(VALVE_COIL, 0x3006) \
  X(VALVE_PIN, 0x3101) X(REJECT_PIN, 0x3102) X(LINE_PERMIT_PIN, 0x3103) \
  X(SUPPLY_ISOLATION_PIN, 0x3104) X(PACED_LATE_US_MAX, 0x3200) X(PACED_LOCK_MEMORY, 0x3201) \
  X(PACED_REALTIME, 0x3202) X(PACED_INPUTS, 0x3203) X(PACED_INPUTS_LATE, 0x3204) \
  X(PACED_FIRST_LATE_MS, 0x3205) X(PACED_LATE_US_MEDIAN, 0x3206) X(PACED_LATE_US_99, 0x3207) \
  X(PACED_LATE_US_WORST, 0x3208) X(PACED_BENCH_US_MEDIAN, 0x3209) X(PACED_BENCH_US_99, 0x320a) \
  X(PACED_BENCH_US_WORST, 0x320b) X(PACED_LINK_US_MEDIAN, 0x320c) X(PACED_LINK_US_99, 0x320d) \
  X(PACED_LINK_US_WORST, 0x320e) X(PACED_OUTPUTS, 0x320f) X(PACED_PIN_US_MEDIAN, 0x3210) \
  X(PACED_PIN_US_99, 0x3211) X(PACED_PIN_US_WORST, 0x3212) X(PACED_CLOCK_AHEAD_S, 0x3213) \
  X(PACED_CLOCK_AHEAD_US, 0x3214) X(PACED_CLOCK_ERROR_US, 0x3215) \
  X(PACED_CLOCK_DRIFT_PPB, 0x3216)

/// X(NAME, first slot, entries, least, most)
#define RIMEBENCH_PARAMETERS(X) \
  X(LINE_PULSE_PITCH_UM, 0, 1, 0, 1000000) X(LINE_SPEED_UM_PER_S, 1, 1, 1000, 5000000) \
  X(SPEED_MIN_UM_PER_S, 2, 1, 0, 5000000) X(SENSOR_TO_NOZZLE_UM, 3, 1, 1000, 5000000) \
  X(NOZZLE_TO_SEAM_UM, 4, 1, 1000, 20000000) X(EDGE_TO_CENTRE_UM, 5, 1, 0, 500000) \
  X(SENSOR_LATENCY_US, 6, 1, 0, 50000) X(DEBOUNCE_US, 7, 1, 0, 200000) \
  X(CONTAINER_WIDTH_MIN_UM, 8, 1, 0, 1000000) X(CONTAINER_WIDTH_MAX_UM, 9, 1, 1000, 2000000) \
  X(PITCH_MIN_UM, 10, 1, 0, 1000000) X(LANDING_LATE_MAX_UM, 11, 1, 0, 50000) \
  X(VALVE_OPEN_DELAY_US, 12, 1, 0, 200000) X(VALVE_CLOSE_DELAY_US, 13, 1, 0, 200000) \
  X(FLIGHT_US, 14, 1, 0, 500000) X(OPEN_US_MIN, 15, 1, 100, 1000000) \
  X(OPEN_US_MAX, 16, 1, 100, 2000000) X(REST_US_MIN, 17, 1, 0, 1000000) \
  X(VALVE_FEEDBACK_US_MAX, 18, 1, 0, 1000000) X(OPEN_CURVE_UG, 19, 8, 0, 10000000) \
  X(OPEN_CURVE_US, 27, 8, 0, 2000000) X(DOSE_UG, 35, 1, 1, 10000000) \
  X(WAIT_SOURCE, 36, 1, 0, 3) X(WAIT_FIXED_US, 37, 1, 0, 600000000) \
  X(WAIT_CURVE_US, 38, 8, 0, 600000000) X(WAIT_CURVE_PPM, 46, 8, 0, 20000000) \
  X(WAIT_ERROR_MAX_US, 54, 1, 0, 600000000) X(PLACE_SOURCE, 55, 1, 0, 2) \
  X(PLACE_COUNT, 56, 1, 1, 16) X(PLACE_WAIT_US, 57, 16, 0, 600000000) \
  X(GROUP_START_TO_SENSOR_UM, 73, 1, 0, 20000000) X(HEAD_PITCH_UM, 74, 1, 0, 1000000) \
  X(TRANSPORT, 75, 1, 0, 1) X(SENSOR_TO_GATE_UM, 76, 1, 0, 50000000) \
  X(DISCHARGE_TO_GATE_UM, 77, 1, 0, 50000000) X(SEAM_TO_DISCHARGE_US, 78, 1, 0, 60000000) \
  X(GATE_BEFORE_UM, 79, 1, 0, 1000000) X(GATE_AFTER_UM, 80, 1, 0, 1000000) \
  X(SPEED_MAX_UM_PER_S, 81, 1, 0, 5000000) X(ACCELERATION_MAX_UM_PER_S2, 82, 1, 0, 50000000) \
  X(SEAMER_TO_SEAM_US, 83, 1, 0, 60000000) X(SEAMER_CYCLE_US, 84, 1, 0, 60000000) \
  X(SEAMER_CYCLE_US_MIN, 85, 1, 0, 60000000) X(SEAMER_CYCLE_US_MAX, 86, 1, 0, 60000000) \
  X(IMPLAUSIBLE_ROW_MAX, 87, 1, 0, 100) X(PITCH_UM, 88, 1, 0, 1000000) \
  X(PITCH_ERROR_MAX_UM, 89, 1, 0, 500000) X(PULSE_JUMP_MAX_PPM, 90, 1, 0, 10000000) \
  X(PULSE_US_MAX, 91, 1, 0, 60000000) X(SENSOR_HIGH_UM_MAX, 92, 1, 0, 20000000) \
  X(SENSOR_LOW_UM_MAX, 93, 1, 0, 50000000) X(GROUP_GAP_UM, 94, 1, 0, 20000000) \
  X(GROUP_SIZE_MIN, 95, 1, 0, 16) X(GROUP_CHECK, 96, 1, 0, 1) X(REJECT_NEIGHBOURS, 97, 1, 0, 8) \
  X(DISCHARGE_GAP_US, 98, 1, 0, 600000000) X(REJECT_CONFIRM_US_MAX, 99, 1, 0, 60000000) \
  X(REJECT_UNCONFIRMED_MAX, 100, 1, 0, 100) X(GATE_SIGNALS, 101, 1, 0, 1) \
  X(STREAM_ENTER_UM_PER_S, 102, 1, 0, 5000000) X(STREAM_LEAVE_UM_PER_S, 103, 1, 0, 5000000) \
  X(STREAM_GAP_US, 104, 1, 0, 10000000) X(STREAM_US_MAX, 105, 1, 0, 600000000) \
  X(STREAM_FLOW_UG_PER_S, 106, 1, 0, 100000000) X(OPENING_UM, 107, 1, 0, 1000000) \
  X(STREAM_DOSE_ERROR_MAX_PPM, 108, 1, 0, 1000000) \
  X(PURGE_US, 109, 1, 0, 1800000000) X(COOL_DOWN_OPEN_US, 110, 1, 0, 2000000) \
  X(COOL_DOWN_PERIOD_US, 111, 1, 1000, 600000000) X(COOL_DOWN_US_MAX, 112, 1, 0, 2000000000) \
  X(BODY_TEMPERATURE_MK_MAX, 113, 1, 0, 400000) X(SUPPLY_LEVEL_UM_MIN, 114, 1, 0, 2000000) \
  X(COLD_HOLD_US, 115, 1, 0, 600000000) X(TEST_SHOTS_AT_START, 116, 1, 0, 100) \
  X(TEST_OPEN_US, 117, 1, 0, 2000000) X(TEST_PERIOD_US, 118, 1, 1000, 600000000) \
  X(NOZZLE_CLEAR_UM, 119, 1, 0, 1000000) X(IDLE_US_MAX, 120, 1, 0, 1800000000) \
  X(IDLE_PERIOD_US, 121, 1, 0, 600000000) X(UNSTEADY_COUNT, 122, 1, 0, 1000) \
  X(HEAD_CURVE_PA, 123, 8, 0, 1000000) X(HEAD_CURVE_PPM, 131, 8, 0, 20000000) \
  X(HEAD_OUT_US_MAX, 139, 1, 0, 600000000) X(ROOM_OXYGEN_PPM_MIN, 140, 1, 0, 1000000) \
  X(VALVE_SLOW_US, 141, 1, 0, 1000000) X(VALVE_SLOW_COUNT_MAX, 142, 1, 0, 100) \
  X(OPEN_BUDGET_US, 143, 1, 0, 60000000) X(OPEN_SHARE_PPM, 144, 1, 0, 1000000) \
  X(LANDING_ERROR_MAX_UM, 145, 1, 0, 50000)

#define RIMEBENCH_FAULTS(X) \
  X(NONE, 0) X(SAFETY_CHAIN_LOST, 1) X(LINK_LOST, 2) X(SUPPLY_LOST, 3) X(OPEN_TOO_LONG, 4) \
  X(OPEN_WITHOUT_CONTAINER, 5) X(VALVE_STUCK_OPEN, 6) X(VALVE_STUCK_CLOSED, 7) \
  X(CONTAINER_QUEUE_FULL, 8) \
  X(PULSE_LOST, 9) X(PULSE_IMPLAUSIBLE, 10) X(SENSOR_STUCK_HIGH, 11) X(SENSOR_STUCK_LOW, 12) \
  X(REJECT_UNCONFIRMED, 13) X(GATE_AIR_LOW, 14) X(REJECT_BIN_FULL, 15) \
  X(COOL_DOWN_TOO_LONG, 16) X(ROOM_OXYGEN_LOW, 17) X(HEAD_OUT_OF_RANGE, 18) X(VALVE_SLOW, 19) \
  X(OPEN_TOO_MUCH, 20)

/// Counted on 0x2100 + number.
#define RIMEBENCH_COUNTERS(X) \
  X(CHATTER_REJECTED, 0) X(DOUBLE_EDGE, 1) X(WIDTH_IMPLAUSIBLE, 2) X(TOO_SLOW, 3) X(TOO_LATE, 4) \
  X(NOT_RUNNING, 5) X(DOSE_OUT_OF_RANGE, 6) X(REST_TOO_SHORT, 7) X(SHOT_CUT, 8) \
  X(WAIT_OUT_OF_RANGE, 9) X(PLACE_SATURATED, 10) X(DISCHARGE_UNEXPECTED, 11) X(REJECTED, 12) \
  X(WAIT_CAPPED, 13) X(PULSE_LOST, 14) X(PULSE_EXTRA, 15) X(PITCH_IMPLAUSIBLE, 16) \
  X(REVERSAL, 17) X(GROUP_SIZE_WRONG, 18) X(GROUP_UNANNOUNCED, 19) X(DISCHARGE_MISSING, 20) \
  X(COUNT_UNSURE, 21) X(NEIGHBOUR_REJECTED, 22) X(REJECT_UNCONFIRMED, 23) X(STREAM_BEGUN, 24) \
  X(STREAM_DOSE_WRONG, 25) \
  X(COOL_DOWN_SHOT, 26) X(TEST_SHOT, 27) X(TEST_SHOT_REFUSED, 28) X(DOSE_UNSTEADY, 29) \
  X(HEAD_UNFIT, 30) X(SLOW_SHOT, 31) X(LANDING_OFF, 32)

#define RIMEBENCH_MODES(X) \
  X(STOPPED, 0) X(IDLE, 1) X(EXECUTE, 2) X(SUSPENDED, 3) X(ABORTED, 4) X(STARTING, 5)
// clang-format on

#define RIMEBENCH_CHANNEL_ENUM(name, number) RIMEBENCH_CHANNEL_##name = number,
#define RIMEBENCH_SLOT_ENUM(name, slot, entries, least, most) RIMEBENCH_SLOT_##name = slot,
#define RIMEBENCH_FAULT_ENUM(name, number) RIMEBENCH_FAULT_##name = number,
#define RIMEBENCH_COUNTER_ENUM(name, number) RIMEBENCH_COUNTER_##name = number,
#define RIMEBENCH_MODE_ENUM(name, number) RIMEBENCH_MODE_##name = number,

enum {
  RIMEBENCH_CHANNEL_RECIPE_FIRST = 0x1000,   ///< + slot
  RIMEBENCH_CHANNEL_COUNTER_FIRST = 0x2100,  ///< + counter
};
enum { RIMEBENCH_CHANNELS(RIMEBENCH_CHANNEL_ENUM) RIMEBENCH_CHANNEL_END };
enum { RIMEBENCH_PARAMETERS(RIMEBENCH_SLOT_ENUM) RIMEBENCH_SLOTS = 146 };
enum { RIMEBENCH_FAULTS(RIMEBENCH_FAULT_ENUM) RIMEBENCH_FAULT_COUNT };
enum { RIMEBENCH_COUNTERS(RIMEBENCH_COUNTER_ENUM) RIMEBENCH_COUNTER_COUNT };
enum { RIMEBENCH_MODES(RIMEBENCH_MODE_ENUM) RIMEBENCH_MODE_COUNT };

/// Values of the recipe state channel.
enum {
  RIMEBENCH_RECIPE_NONE = 0,
  RIMEBENCH_RECIPE_ACCEPTED = 1,
  RIMEBENCH_RECIPE_REFUSED_RUNNING = -1,
  RIMEBENCH_RECIPE_REFUSED_CHECKSUM = -2,
  RIMEBENCH_RECIPE_REFUSED_SLOT = -1000,  ///< - slot: the first that is out of its range or order
};

/// Room for our dose controller, wherever the caller wants it: a static object does.
#define RIMEBENCH_CORE_BYTES 12288
typedef union rimebench_core {
  int64_t aligned;
  unsigned char bytes[RIMEBENCH_CORE_BYTES];
} rimebench_core;

/// As the functions of rimebench_controller. start comes first, then they may be called as there. A
/// call out of turn is a bug: it ends in rimebench::panic, which the program supplies
/// (firmware_sim/units/demand.hpp).
void rimebench_core_start(rimebench_core* core);
void rimebench_core_on_change(rimebench_core* core, const rimebench_change* change);
size_t rimebench_core_advance(rimebench_core* core, int64_t until_us, rimebench_change* outputs);
int64_t rimebench_core_next_wake(const rimebench_core* core);

/// Our controller in `core` as a rimebench_controller.
rimebench_controller rimebench_core_controller(rimebench_core* core);

#ifdef __cplusplus
}
#endif
