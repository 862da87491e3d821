#pragma once

/// The downstream half of the plant: what the controller's outputs bring about. It follows as far
/// as the outputs are known.
///   valve command ─> valve ─> flight ─> landing ─> lid ─> seam ─> gate ─> ledger row
///   reject command ─────────────────────────────────────────────────┘
/// What it sends back to the controller (valve feedback, reject confirmed) goes into the input
/// queue, at least lookahead() after the output that caused it.

#include <cstdint>
#include <vector>

#include "plant_model/kernel/lanes.hpp"
#include "plant_model/kernel/ring.hpp"
#include "plant_model/line/packaging.hpp"
#include "plant_model/line/run_sink.hpp"
#include "plant_model/line/upstream.hpp"

namespace rimebench {

class Downstream {
 public:
  Downstream(const PlantSpec& spec, Conveyed& conveyed, Upstream& upstream);

  /// An output of the controller, in canonical order and not before the last run.
  void on_output(const SignalChange& output);
  /// Runs to `until`, exclusive; witnesses go to witnesses(), rows to the sink.
  void run(Instant until, RunSink& sink);
  /// Rows for the containers that never passed the last station.
  void finish(RunSink& sink);

  /// Least time from an output to the first input it causes; kNever's where nothing is wired.
  Duration lookahead() const;
  /// While the gate is commanded, removals may be confirmed at any moment: the furthest the
  /// controller may be granted from `reached` on.
  Instant confirm_horizon(Instant reached) const;

  std::vector<SignalChange>& witnesses() { return witnesses_; }

 private:
  /// At one instant in this order, which is the channel order of the witnesses.
  enum Lane : int { kGateMoves, kValveMoves, kLands, kLid, kSeam, kGatePassed, kLaneCount };

  struct Move {
    Instant at;
    bool open{};
  };
  struct Shot {
    std::int64_t ordinal{};
    Instant opened;
    Instant closed;
    double nozzle_kg{};
  };

  void command_valve(Instant at, bool open);
  void move_valve(Instant at);
  void land(Instant at);
  bool land_in(Carried& container, const Shot& shot);
  double captured(const Carried& container, const Shot& shot) const;
  Length past_nozzle(const Carried& container, Instant at) const;
  void pass_lid_or_seam(Lane lane, Instant at);
  void pass_gate(Instant at, RunSink& sink);
  void retire(RunSink& sink);
  void set_container_lane(Lane lane);
  void witness(Instant at, Channel channel, std::int64_t value);
  std::int64_t& next_of(Lane lane) { return next_[static_cast<std::size_t>(lane)]; }
  bool has_gate() const { return spec_.line.stations.gate_um > 0; }

  const PlantSpec& spec_;
  Conveyed& conveyed_;
  Upstream& upstream_;
  Packaging packaging_;
  Duration to_rim_;
  Duration to_drink_;
  double landed_share_;
  Lanes lanes_;
  std::array<std::int64_t, kLaneCount> next_{};
  Ring<Move> valve_moves_{4096};
  Ring<Move> gate_moves_{4096};
  Ring<Shot> in_flight_{4096};
  std::vector<SignalChange> witnesses_;
  Instant last_valve_move_{};
  std::int64_t shots_{0};
  std::int64_t landing_candidate_{1};
  bool reject_commanded_{false};
  Instant reject_ended_{-kNever.us};
  bool gate_out_{false};
};

}  // namespace rimebench
