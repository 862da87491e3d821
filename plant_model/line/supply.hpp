#pragma once

/// Vessel, hose, isolation valve and dosing head: how much liquid stands above the nozzle, how cold
/// the body is, and so what a shot really gives.
///   vessel ── isolation ── hose (flash, transfer loss) ──> bath (heat boils it) ──> valve ──> shot
///                           └─> hose leak ──> room
/// Between two calls the rates are constant or change at instants known beforehand, so the level is
/// piecewise linear and every turn of it is met exactly. Only + - x / and the square root: samples
/// depend on it. It is asked at shots and samples alone, never where a grant happens to end.

#include "firmware_sim/units/quantity.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

/// Where the nitrogen went, in kg, since the start. Vessels put on count as they are put on.
struct SupplyBooks {
  double put_on{};
  double taken_off{};  ///< left in a vessel that was taken off
  double in_vessel{};
  double in_head{};
  double flashed{};  ///< and lost in the transfer
  double boiled{};
  double leaked{};
  double shot{};
};

/// What one opening, or a part of it, really passed.
struct Passed {
  double nozzle_kg{};
  double vapour_share{};  ///< of it, by mass
  bool low_head{};        ///< less head than at the refill mark, clearly
};

class Supply {
 public:
  /// `spec` must outlive the supply, and have one.
  explicit Supply(const PlantSpec& spec);

  /// The isolation valve at the vessel moves.
  void isolate(Instant at, bool open);
  /// The valve was open from `opened` to `closed` and would have passed `nominal_kg` from a bath
  /// half way between its two marks: less from a lower one, and less where vapour goes with it.
  Passed shoot(Instant opened, Instant closed, double nominal_kg);

  /// Goes to `at`, not before the last call's.
  void advance(Instant at);
  double level_um() const;
  /// Gauge pressure over the bath.
  double head_pa() const;
  double body_k() const { return body_k_; }
  const SupplyBooks& books() const { return books_; }

 private:
  double kg_at(double level_um) const;
  bool vessel_on() const;
  double inflow_kg_per_s() const;
  double leak_kg_per_s() const;
  Instant next_turn(Instant limit) const;
  void turn(Instant at);
  void fill_and_boil(double seconds);
  double fill_and_boil_once(double seconds);
  double vapour_share(double nominal_kg_per_s) const;

  DosingSupplySpec spec_;
  const SupplyHappenings* happens_;
  double flow_kg_per_s_;  ///< of the open valve, rated
  double full_kg_;
  double refill_kg_;
  double nominal_pa_{};  ///< that drives the rated flow
  double refill_pa_{};   ///< with the bath at its refill mark
  double kept_share_;
  Instant now_{};
  bool isolation_open_{false};  ///< fail-closed: shut until commanded
  bool refilling_{false};
  double body_k_;
  double hose_vapour_{0.0};
  SupplyBooks books_;
};

}  // namespace rimebench
