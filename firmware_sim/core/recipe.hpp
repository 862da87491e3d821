#pragma once

#include <array>
#include <cstdint>

#include "firmware_sim/contract/fault.hpp"
#include "firmware_sim/contract/parameter.hpp"
#include "firmware_sim/core/curve.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// What the guard alone is told.
struct GuardLimits {
  Duration open_min;
  Duration open_max;
  Duration feedback_max;  ///< 0: no feedback is wired
  Duration cool_down_open{};
  Duration test_open{};
  Duration stream_max{};  ///< of an opening for several containers
};

/// What the second guard alone is told.
struct OpenBudget {
  Duration most;  ///< 0: there is no second guard
  std::int64_t share_ppm = 0;
};

struct StartLimits {
  Duration purge;
  Duration cool_down_max;  ///< 0: no cool-down
  Duration cold_hold;
  int test_shots = 0;

  /// The recipe brings the head up itself: before that no liquid is let to it.
  bool brings_up() const { return purge > 0_us || cool_down_max > 0_us; }
};

struct SupplyLimits {
  std::int32_t body_temperature_mk_max = 0;  ///< 0: not wired
  std::int32_t level_um_min = 0;             ///< 0: not wired
  Curve head_curve;                          ///< of the open time's multiple; empty: none
  Duration head_out_max;                     ///< 0: never a fault
};

struct IdleLimits {
  Duration idle_max;  ///< 0: idling does not matter
  int unsteady_count = 0;
  Duration period;  ///< of cool-down shots while idling; 0: none
};

struct SlowLimits {
  Duration after;  ///< 0: nothing is slow
  int count_max = 0;
};

/// An accepted recipe in the core's own units, with what can be worked out once. The parameter
/// table says what each value means.
struct Recipe {
  Recipe() = default;
  explicit Recipe(const RecipeValues& values);

  // Belt.
  Length pulse_pitch;  ///< 0: no pulse
  Speed line_speed;
  Speed speed_min;
  Speed speed_max;                  ///< 0: not known
  std::int64_t acceleration_max{};  ///< um/s2; 0: at speed_max at once

  // Pulses and container sensor held against each other.
  int implausible_max{};  ///< in a row; 0: they are not
  Length pitch;           ///< of a stream of containers; 0: none
  Length pitch_error_max;
  std::int64_t pulse_jump_max{};  ///< ppm; 0: any
  Duration pulse_max;             ///< 0: any
  Length sensor_high_max;         ///< 0: any
  Length sensor_low_max;          ///< 0: any

  // Sensor.
  Duration sensor_latency;
  Duration debounce;
  Length edge_to_centre;
  Length width_min;
  Length width_max;
  Length pitch_min;

  // Group.
  PlaceSource place_source{};
  int place_count{};
  Length head_pitch;
  Length group_gap;  ///< begins a group; 0: the group signal does
  int group_size_min{};
  bool group_check{};
  Length group_start_to_group;  ///< half a head before the first head's edge at the sensor

  // Dose.
  Mass dose;
  WaitSource wait_source{};
  Duration wait_fixed;
  std::array<Duration, kPlaces> place_wait{};
  Curve wait_curve;
  Curve open_curve;
  Duration open_min;
  Duration open_max;

  // Shot.
  Length sensor_to_nozzle;
  Length landing_late_max;
  Length landing_error_max;  ///< 0: never looked at
  Duration flight;
  Duration valve_delays;  ///< open and close delay together
  Duration lead_max;      ///< of the longest shot
  Duration rest_min;      ///< at least 1 us: two shots are two openings of the valve

  // Seam and gate.
  Transport transport{};
  Length nozzle_to_seam;
  Length sensor_to_seam;
  Duration seam_to_discharge;
  Duration wait_error_max;
  Duration seamer_to_seam;  ///< where queued, as are the next four
  Duration seamer_cycle;    ///< planned
  Duration seamer_cycle_min;
  Duration seamer_cycle_max;  ///< 0: any
  Duration discharge_gap;     ///< 0: the count never begins anew
  Length to_gate;  ///< from the sensor, or from the discharge sensor where queued; 0: no gate
  Length gate_before;
  Length gate_after;
  int reject_neighbours{};
  Duration confirm_max;  ///< 0: no eye
  int unconfirmed_max{};
  bool gate_signals{};

  // Stream.
  Speed stream_enter;  ///< 0: never
  Speed stream_leave;
  Duration stream_gap;
  Duration stream_max;
  std::int64_t stream_flow{};  ///< ug/s
  Length opening;
  std::int64_t stream_dose_error_max{};  ///< ppm
  Duration stream_open_lead;             ///< from the open command to the first drop on the drink
  Duration stream_close_lead;            ///< from the close command to the last

  GuardLimits guard;
  OpenBudget open_budget;

  // Head.
  StartLimits start;
  SupplyLimits supply;
  IdleLimits idle;
  SlowLimits slow;
  Duration cool_down_open;  ///< 0: no cool-down shots
  Duration cool_down_period;
  Duration test_open;  ///< 0: no test shots
  Duration test_period;
  Length nozzle_clear;
  std::int32_t room_oxygen_ppm_min = 0;  ///< 0: not wired

 private:
  void take_checks(const RecipeValues& values);
  void take_stream(const RecipeValues& values);
};

/// From the open command of a shot to the middle of its streak on the drink.
Duration shot_lead(const Recipe& recipe, Duration open);

/// Collects parameters until a commit takes them as a whole. A refused commit changes nothing.
class RecipeStage {
 public:
  /// Takes a change of a recipe channel. A commit waits for take_commit().
  void take(Channel channel, std::int32_t value);
  bool commit_pending() const { return commit_pending_; }
  /// The recipe state that follows the commit in this mode: kRecipeAccepted, or why it is refused.
  std::int32_t take_commit(Mode mode);
  const RecipeValues& values() const { return values_; }

 private:
  RecipeValues values_;
  std::int32_t commit_ = 0;
  bool commit_pending_ = false;
};

}  // namespace rimebench
