#pragma once

/// The dosing valve, from the command to its movements.
///   command ───┐
///   chain ─────┼─ in series ─> coil ── delays, troubles ──> moves: open, shut
///   relay ─────┘
/// Chain and relay are there only where the line has an interlock; without one the coil follows the
/// command. Feedback is sent as a movement is scheduled, since the delays are known then.

#include <optional>

#include "plant_model/kernel/ring.hpp"
#include "plant_model/line/bound.hpp"
#include "plant_model/line/input_queue.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

/// Liquid that no opening of the controller's passed: a leak, or a valve that opened by itself.
inline constexpr std::int64_t kNoShot = 0;

struct ValveMove {
  Instant at;
  bool open{};
  std::int64_t shot{};  ///< counts the controller's openings, from 1; or kNoShot
};

struct ValveReferences {
  const PlantSpec& spec_;
};

class Valve : private Bound<ValveReferences> {
 public:
  explicit Valve(const PlantSpec& spec);

  /// The controller's output. False if the valve sticks and never follows.
  bool command(Instant at, bool open, InputQueue& inputs);
  /// The safety chain, where there is an interlock.
  void hear_chain(Instant at, bool closed);

  /// The next scheduled movement.
  Instant next_move() const { return moves_.empty() ? kNever : moves_.front().at; }
  ValveMove take_move();
  /// The next moment at which the coil changes, or a trouble begins or ends.
  Instant next_turn() const;
  /// Handles it. The coil's level, if it has changed.
  std::optional<bool> turn(Instant at, InputQueue& inputs);

  bool is_open() const { return is_open_; }
  /// Something is wrong with it.
  bool troubled(Instant at) const;
  /// Flow through the open valve against its calibration, chance left out.
  double flow_factor(Instant at) const;
  double leak_kg_per_s(Instant at) const;
  /// How far beside its axis the jet goes.
  std::int64_t deflection_um(Instant at) const;

  /// Least time from a command to its feedback; kNever's where none is wired.
  Duration lookahead() const;
  /// No feedback that neither a command nor a movement has scheduled yet comes before this.
  Instant horizon() const;
  /// The same of a chain that opens at `at` and has not been heard yet.
  Instant chain_horizon(Instant at) const;

 private:
  const ValveTrouble* trouble(ValveTroubleKind kind, Instant at) const;
  bool fails_open(Instant at) const;
  bool sticks(const ValveTrouble& trouble) const;
  void cut_coil(Instant at, InputQueue& inputs);
  bool follow_coil(Instant at, Duration delay, InputQueue& inputs);
  void schedule(Instant at, bool open, std::int64_t shot, InputQueue& inputs);
  void turn_trouble(Instant at, InputQueue& inputs);

  Ring<ValveMove> moves_{4096};
  std::int64_t shots_{0};
  bool commanded_{false};
  bool chain_closed_{false};
  bool cut_{false};  ///< the coil stays dead until the command falls
  bool coil_{false};
  bool coil_shown_{false};
  Instant coil_changed_{kNever};  ///< not yet shown
  Instant chain_cuts_{kNever};
  Instant relay_cuts_{kNever};
  Instant turned_{-1};          ///< trouble edges up to here are done
  bool scheduled_open_{false};  ///< once every scheduled movement is done
  bool is_open_{false};
  Instant last_move_{};
};

}  // namespace rimebench
