#pragma once

/// Controllers that are there to fail: what the bench must never let pass. They keep the form of
/// the contract (recipe, start, line permit) and none of its purpose.

#include <array>
#include <cstddef>
#include <cstdint>

#include "firmware_sim/contract/signal_change.hpp"
#include "firmware_sim/core/outputs.hpp"
#include "firmware_sim/core/recipe.hpp"

namespace rimebench {

enum class StandInKind : std::uint8_t {
  kAlwaysReject,  ///< doses as fixed_delay, and takes out every container
  kNeverDose,     ///< opens nothing, rejects nothing
  kFixedDelay,    ///< one fixed dose a fixed time after the sensor, set at the first container's
                  ///< speed; looks at nothing else
};

class StandIn {
 public:
  explicit StandIn(StandInKind kind) : kind_(kind) {}

  void on_change(SignalChange change);
  Outputs advance(Instant until);
  Instant next_wake() const { return earlier(taken_at_, timer_at_); }

 private:
  static constexpr std::size_t kWaitingMax = 64;

  void load();
  void set_up();
  void see_container(Instant now);
  void run_shot(Instant now);
  Outputs drive(Instant now);

  StandInKind kind_;
  RecipeStage stage_;
  std::int32_t recipe_state_ = 0;
  Recipe recipe_;
  Length speed_{};    ///< in a second; 0 until it is known
  Duration delay_{};  ///< from the sensor to the command to open
  Duration open_{};
  Instant pulse_at_ = kNever;
  Instant seen_at_{};  ///< the last container's edge
  bool sensor_ = false;
  bool sensor_rose_ = false;
  bool permit_ = false;
  bool chain_ = false;
  bool started_ = false;
  std::array<Instant, kWaitingMax> waiting_{};  ///< openings to come, a ring
  std::size_t first_ = 0;
  std::size_t count_ = 0;
  Instant close_at_ = kNever;
  Instant taken_at_ = kNever;
  Instant timer_at_ = kNever;
  bool valve_ = false;
  std::array<std::int32_t, kPlainOutputs> sent_{};
};

}  // namespace rimebench
