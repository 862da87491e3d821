#pragma once

/// The downstream half of the plant: what the controller's outputs bring about. It follows as far
/// as the outputs are known.
///   valve command ─> valve ─> flight ─> landing ─> lid ─> seam ─> gate ─> ledger row
///   reject command ─────────────────────────────────────────────────┘
/// What it sends back to the controller (valve feedback, reject confirmed, samples) goes into the
/// input queue, at least feedback().lookahead after the output that caused it.

#include <cstdint>
#include <vector>

#include "firmware_sim/contract/feedback.hpp"
#include "plant_model/kernel/lanes.hpp"
#include "plant_model/kernel/ring.hpp"
#include "plant_model/line/bound.hpp"
#include "plant_model/line/gate.hpp"
#include "plant_model/line/packaging.hpp"
#include "plant_model/line/pressure_check.hpp"
#include "plant_model/line/run_sink.hpp"
#include "plant_model/line/supply.hpp"
#include "plant_model/line/supply_wires.hpp"
#include "plant_model/line/upstream.hpp"
#include "plant_model/line/valve.hpp"

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
  /// The safety chain as the interlock sees it; the downstream half has run to that instant.
  void hear_chain(Instant at, bool closed);
  /// Runs to `until`, exclusive; witnesses go to witnesses(), rows to the sink.
  void run(Instant until, RunSink& sink);
  /// Rows for the containers that never passed the last station.
  void finish(RunSink& sink);

  /// Which outputs cause inputs, and the least time from one to the other.
  Feedback feedback() const;
  /// The furthest the controller may be granted from `reached` on: no input may come before it
  /// that this half has yet to make.
  Instant horizon(Instant reached) const;
  /// The same of a safety chain that opens at `at` and has not been heard yet.
  Instant chain_horizon(Instant at) const { return valve_.chain_horizon(at); }

  std::vector<SignalChange>& witnesses() { return witnesses_; }

 private:
  /// At one instant in this order, which is the channel order of the witnesses.
  enum Lane : int {
    kGateMoves,
    kValveMoves,
    kPieceEnds,
    kLands,
    kStays,
    kLid,
    kSeam,
    kChecked,
    kGatePassed,
    kValveTurns,
    kMeasure,
    kLaneCount,
  };

  /// Liquid in flight: a shot, a part of a long one, or of what a valve passes that leaks or opened
  /// by itself.
  struct Piece {
    std::int64_t shot{};  ///< the opening that passed it; or kNoShot
    bool leak{};
    Instant opened;
    Instant closed{kNever};
    double nozzle_kg{};
    double liquid_share{1.0};   ///< of it, by mass
    std::int64_t befell{};      ///< what the container that it falls into has met
    std::int64_t lateral_um{};  ///< of the jet, beside the line of the container centres
  };

  /// How long liquid falls from the nozzle.
  struct Fall {
    Duration to_rim;
    Duration to_drink;
  };

  void set_valve_lanes();
  void move_valve();
  void turn_valve(Instant at);
  void begin_piece(const Piece& piece);
  void begin_leak(Instant at);
  double rated_kg(const Piece& piece, Instant closed) const;
  void end_piece(Instant at);
  void land(Instant at);
  void miss(Instant at);
  bool land_in(Carried& container, const Piece& piece);
  double captured(const Carried& container, const Piece& piece) const;
  static Fall fall_to(const NozzleSpec& nozzle, std::int64_t shorter_um,
                      std::int64_t rim_to_drink_um);
  const Fall& fall_into(const Carried& container) const;
  Length past_nozzle(const Carried& container, Instant at) const;
  void lay_lid(Instant at);
  void close(Instant at, RunSink& sink);
  void check_pressure(Instant at);
  bool ejected(const Carried& container, Instant at);
  void pass_gate(Instant at, RunSink& sink);
  void retire();
  void set_container_lane(Lane lane);
  std::int64_t first_left(Lane lane) const;
  Carried& take_next(Lane lane);
  void write_row(const Carried& container, RunSink& sink);
  void witness(Instant at, Channel channel, std::int64_t value);
  std::int64_t& next_of(Lane lane) { return next_[static_cast<std::size_t>(lane)]; }
  bool has_gate() const { return spec_.line.stations.gate_um > 0; }
  bool piece_runs() const { return !in_flight_.empty() && in_flight_.back().closed == kNever; }

  Packaging packaging_;
  std::optional<Supply> supply_;
  SupplyWires supply_wires_;
  Fall fall_;
  Fall wrong_fall_;  ///< into a wrong container
  Duration piece_max_;
  double landed_share_;
  Lanes lanes_;
  std::array<std::int64_t, kLaneCount> next_{};
  Valve valve_;
  Gate gate_;
  PressureCheck check_;
  Ring<Piece> in_flight_{4096};
  std::vector<SignalChange> witnesses_;
  std::int64_t landing_candidate_{1};
  std::int64_t next_row_{1};  ///< of the ledger
};

}  // namespace rimebench
