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
#include "plant_model/line/bound.hpp"
#include "plant_model/line/packaging.hpp"
#include "plant_model/line/run_sink.hpp"
#include "plant_model/line/supply.hpp"
#include "plant_model/line/supply_wires.hpp"
#include "plant_model/line/upstream.hpp"

namespace rimebench {

struct DownstreamReferences {
  const PlantSpec& spec_;
  Conveyed& conveyed_;
  Upstream& upstream_;
};

class Downstream : private Bound<DownstreamReferences> {
 public:
  Downstream(const PlantSpec& spec, Conveyed& conveyed, Upstream& upstream);

  /// An output of the controller; the downstream half has run to its instant.
  void on_output(const SignalChange& output);
  /// Runs to `until`, exclusive; witnesses go to witnesses(), rows to the sink.
  void run(Instant until, RunSink& sink);
  /// Rows for the containers that never passed the last station.
  void finish(RunSink& sink);

  /// Least time from an output to the first input it causes; kNever's where nothing is wired.
  Duration lookahead() const;
  /// The furthest the controller may be granted from `reached` on: no input may come before it
  /// that this half has yet to make.
  Instant horizon(Instant reached) const;

  std::vector<SignalChange>& witnesses() { return witnesses_; }

 private:
  /// At one instant in this order, which is the channel order of the witnesses.
  enum Lane : int {
    kGateMoves,
    kValveMoves,
    kPieceEnds,
    kLands,
    kLid,
    kSeam,
    kGatePassed,
    kMeasure,
    kLaneCount,
  };

  struct Move {
    Instant at;
    bool open{};
    std::int64_t shot{};  ///< of the valve
  };
  /// Liquid in flight: a shot, or a part of a long one.
  struct Piece {
    std::int64_t shot{};  ///< counts the valve's openings
    Instant opened;
    Instant closed;
    double nozzle_kg{};
    double liquid_share{1.0};  ///< of it, by mass
  };

  Instant confirm_horizon(Instant reached) const;
  void command_valve(Instant at, bool open);
  void move_valve(Instant at);
  void begin_piece(std::int64_t shot, Instant at);
  void end_piece(Instant at);
  void land(Instant at);
  bool land_in(Carried& container, const Piece& piece);
  double captured(const Carried& container, const Piece& piece) const;
  Length past_nozzle(const Carried& container, Instant at) const;
  void lay_lid(Instant at);
  void close(Instant at, RunSink& sink);
  void pass_gate(Instant at, RunSink& sink);
  void retire();
  void set_container_lane(Lane lane);
  void witness(Instant at, Channel channel, std::int64_t value);
  std::int64_t& next_of(Lane lane) { return next_[static_cast<std::size_t>(lane)]; }
  bool has_gate() const { return spec_.line.stations.gate_um > 0; }

  Packaging packaging_;
  std::optional<Supply> supply_;
  SupplyWires supply_wires_;
  Duration to_rim_;
  Duration to_drink_;
  Duration piece_max_;
  double landed_share_;
  Lanes lanes_;
  std::array<std::int64_t, kLaneCount> next_{};
  Ring<Move> valve_moves_{4096};
  Ring<Move> gate_moves_{4096};
  Ring<Piece> in_flight_{4096};
  std::vector<SignalChange> witnesses_;
  Instant last_valve_move_{};
  std::int64_t shots_{0};
  std::int64_t landing_candidate_{1};
  bool valve_commanded_{false};
  bool reject_commanded_{false};
  Instant reject_ended_{-kNever.us};
  bool gate_out_{false};
};

}  // namespace rimebench
