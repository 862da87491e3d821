#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "firmware_sim/contract/signal_change.hpp"
#include "firmware_sim/core/admission.hpp"
#include "firmware_sim/core/belt.hpp"
#include "firmware_sim/core/container_queue.hpp"
#include "firmware_sim/core/counters.hpp"
#include "firmware_sim/core/cross_check.hpp"
#include "firmware_sim/core/dosing.hpp"
#include "firmware_sim/core/group_place.hpp"
#include "firmware_sim/core/guard.hpp"
#include "firmware_sim/core/idle_watch.hpp"
#include "firmware_sim/core/inputs.hpp"
#include "firmware_sim/core/mode_table.hpp"
#include "firmware_sim/core/open_time_limit.hpp"
#include "firmware_sim/core/outputs.hpp"
#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/core/reject_tracker.hpp"
#include "firmware_sim/core/seam_forecast.hpp"
#include "firmware_sim/core/service_shots.hpp"
#include "firmware_sim/core/start_up.hpp"
#include "firmware_sim/core/supply_watch.hpp"
#include "firmware_sim/core/valve_speed.hpp"

namespace rimebench {

/// Decides, for each container on the belt, when the dosing valve opens and shuts, and which
/// containers the reject gate must take.
///
///   line pulse ───────> belt ─────────────┬────────────────────────┐
///   container sensor ─> admission ─> queue ─> dose ─> shot or stream timer ─> guard ─> time limit
///   group start ──────> group place ──┘   └─> reject tracker ──────────────> reject        └─>
///   valve operator, permit ─> mode table ─> start-up ─> service shots ──────┘ head samples ─────>
///   supply watch ─> dose, start-up, idle watch discharge sensor ─> seamer cycle ─> dose; reject
///   tracker cross-check: line pulse against container sensor ─> flags, faults
///
/// on_change, advance and next_wake are the only entries; core/grant.hpp is the one loop that
/// drives them. Time comes only from the inputs: no clock, heap, thread, float, exception or
/// recursion. A plain value: a copy goes on as the original would.
class DoseController {
 public:
  /// Takes one input. Inputs come in time order, none at or before an instant already settled, and
  /// none past a timer that is due (the loop settles that first).
  void on_change(SignalChange change);

  /// Settles the earliest unsettled instant before `until`: all inputs taken at it, then the timers
  /// due at it. Returns that one instant's output changes; empty also if there is no such instant.
  Outputs advance(Instant until);

  /// The instant advance() would settle next; kNever if none. Holds only until the next input.
  Instant next_wake() const { return earlier(taken_at_, timer_at_); }

 private:
  void take_commit(Instant now);
  bool quiet_pulse(Instant now) const;
  void settle(Instant now, PulseVerdict pulse);
  void run_modes(Instant now, const Interlocks& interlocks);
  void abort(Instant now, Fault fault);
  Fault present_fault(Instant now) const;
  void reset_faults();
  void command(Instant now, const Interlocks& interlocks);

  // The dosing head: dose_controller_head.cpp.
  Interlocks interlocks() const;
  bool supply_open() const;
  void watch_head(Instant now);
  void bring_up(Instant now);
  void take_test_request();
  std::optional<ServiceOrder> service_order(Instant now) const;
  bool serve(const Moment& moment);
  void on_valve(Instant now, bool was_open, const ValveRequest& request);
  Instant head_due(Instant now) const;

  void track(const Moment& moment);
  void admit_row(const Moment& moment);
  void admit(const Moment& moment, Length leading_edge, bool sure);
  Fault gate_fault() const;
  Fault track_fault() const;
  Length next_position() const;
  Instant next_timer(Instant now) const;
  Outputs drive(Instant now);
  void drive(Outputs& outputs, Channel channel, std::int32_t value);

  Instant settled_{-1};
  Instant taken_at_ = kNever;  ///< of inputs taken but not settled
  Instant timer_at_ = kNever;

  Inputs inputs_;
  RecipeStage stage_;
  std::int32_t recipe_state_ = 0;
  Recipe recipe_;  ///< valid once has_recipe_
  bool has_recipe_ = false;

  Mode mode_ = Mode::kStopped;
  Fault fault_ = Fault::kNone;
  bool valve_ = false;
  bool lost_track_ = false;  ///< of a container or a group: until a reset with the line cleared

  Belt belt_;
  Admission admission_;
  GroupPlace groups_;
  ContainerQueue queue_;
  CrossCheck check_;
  SeamerCycle seamer_;
  Dosing dosing_;
  Guard guard_;
  OpenTimeLimit limit_;
  SupplyWatch supply_;
  StartUp start_;
  ServiceShots service_;
  bool serving_ = false;       ///< service shots are wanted or one is running
  Instant serve_at_ = kNever;  ///< when serve() has to look again
  IdleWatch idle_;
  ValveSpeed speed_;
  std::optional<ContainerNumber> dosed_last_;
  RejectTracker rejects_;
  Counters counters_;

  std::array<std::int32_t, kOutputChannels> sent_{};
};

}  // namespace rimebench
