#pragma once

#include "plant_model/spec/dosing_supply.hpp"

namespace rimebench {

/// Oxygen in the room of the line, well mixed, and what its sensor shows. Uses + - x / only: a
/// sample depends on it.
class RoomAir {
 public:
  explicit RoomAir(const RoomAirSpec& spec);

  /// `dt_s` later, during which this much nitrogen came into the room. All of it counts: what is
  /// sealed in containers is little beside it.
  void advance(double dt_s, double nitrogen_kg);

  double oxygen_share() const { return oxygen_; }
  double shown_ppm() const { return shown_ * 1e6; }

 private:
  RoomAirSpec spec_;
  double air_m3_per_s_;
  double oxygen_;
  double shown_;
};

}  // namespace rimebench
