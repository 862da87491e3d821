#pragma once

/// The line pulse: one change of level for each pitch of belt travel, whichever way the belt runs.
/// Some are lost, some come twice, and while the belt slips they tell more travel than there is.

#include "firmware_sim/units/quantity.hpp"
#include "plant_model/line/input_queue.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

class PulseTrain {
 public:
  explicit PulseTrain(const PlantSpec& spec);

  bool wired() const { return spec_->line.controls.line_pulse_pitch_um > 0; }
  /// Belt travel of the next pulse of a belt that runs on, and of one that runs back.
  Length next() const { return next_; }
  Length last() const { return last_; }
  /// When the last pulse comes a second time; kNever if it does not.
  Instant again_at() const { return again_at_; }

  /// The belt passes next(), or last() backwards. True if the pulse is lost or comes twice.
  bool pass(Instant at, bool backwards, InputQueue& inputs);
  void come_again(Instant at, InputQueue& inputs);
  /// From now on the belt moves containers this many per cent less than the pulses say.
  void slip(double percent);

 private:
  void change(Instant at, InputQueue& inputs);

  const PlantSpec* spec_;
  Length pitch_;
  Length last_;
  Length next_;
  std::int64_t passed_{0};
  std::int32_t level_{0};
  Instant again_at_{kNever};
};

}  // namespace rimebench
