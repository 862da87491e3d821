#pragma once

/// The belt's motion: piecewise uniform acceleration, made one segment at a time.
///   motion plan (speed, stops, jogs) ─┬─> segments (from, to, travel, speed, acceleration)
///   line permit ──────────────────────┘     ─> time_of, travel_at
/// A block turned back by hand in a stop has a negative speed. Travel is the belt's way since the
/// start, whole micrometres at the start of each segment. Only +
/// - x / and the square root, so every time is the same on every machine.

#include <memory>

#include "firmware_sim/units/quantity.hpp"
#include "plant_model/kernel/ring.hpp"
#include "plant_model/line/motion_plan.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

struct Segment {
  Instant from;
  Instant to;  ///< exclusive; kNever where nothing more is planned
  Length travel;
  double speed_um_per_s{};
  double acceleration_um_per_s2{};
};

class Drive {
 public:
  explicit Drive(const PlantSpec& spec);

  const Segment& segment() const { return history_.back(); }
  /// The line runs or is about to: what the run permit tells.
  bool permit() const { return permit_; }
  /// True once the segments before `forget_before` fill their ring: the upstream half must wait.
  bool history_full() const { return history_.size() + 4 > history_.capacity(); }

  /// Goes to the next segment; the present one has ended.
  void next_segment();
  /// The line lost its permit: the belt coasts to rest from `at`, inside the present segment.
  void halt(Instant at);
  /// The line has its permit back and starts again, once no stop holds it.
  void resume(Instant at);

  /// When the belt has gone `travel`, never before `now`; kNever if not within the present segment.
  Instant time_of(Length travel, Instant now) const;
  /// The same for a belt that runs back: when it is short of `travel` again.
  Instant time_back_of(Length travel, Instant now) const;
  bool runs_back() const { return segment().speed_um_per_s < 0.0; }
  /// The belt's travel at `at`, rounded down; `at` is not before the last forget_before.
  Length travel_at(Instant at) const;
  /// Drops the segments that ended at or before `at`.
  void forget_before(Instant at);

 private:
  enum class Phase : std::uint8_t { kStanding, kRamping, kRunning, kCoasting, kHalting, kHalted };

  double profile_speed(Instant at);
  Instant next_knot(Instant at) const;
  Instant next_stop() const;
  void begin(Instant from, Instant to, double speed, double acceleration);
  void begin_ramp(Instant at, Duration ramp);
  void begin_running(Instant at);
  void begin_coast(Instant at, double speed, Duration coast);
  void stand(Instant at);
  void restart(Instant at);

  std::shared_ptr<const MotionPlan> plan_;
  double um_per_container_;
  std::size_t knot_{0};
  std::size_t stop_{0};
  std::size_t jog_{0};
  Instant stand_until_{};
  bool resumes_{false};  ///< the permit came back while the belt still coasted
  Phase phase_{Phase::kStanding};
  Duration ramp_{};  ///< of the ramp that follows the present standstill
  bool permit_{false};
  Ring<Segment> history_{256};
};

}  // namespace rimebench
