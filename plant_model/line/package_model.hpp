#pragma once

/// What becomes of the nitrogen in one container: boil-off until the seam, the gas shut in, the
/// pressures at the judge's temperatures. Serves the ledger alone; no event time depends on it.

#include "plant_model/line/carried.hpp"
#include "plant_model/physics/boil_off.hpp"
#include "plant_model/physics/package.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

class PackageModel {
 public:
  explicit PackageModel(const PlantSpec& spec);

  /// Liquid that lands adds to what is left of earlier shots.
  void land(Carried& container, Instant at, double liquid_kg) const;
  /// Boils off what was lost on the belt until the lid.
  void lay_lid(Carried& container, Instant at) const;
  /// Closes the container and fills in the row's pressures and oxygen, and what is bad about it.
  void seam(Carried& container, Instant at) const;

 private:
  void boil(Carried& container, Instant until, double tau_s) const;
  void fill_pressures(Carried& container, const physics::Sealed& sealed) const;
  void judge(Carried& container, double gas_K) const;
  double drink_kg(double fill_deviation) const;
  bool good_with_nominal_fill(const Carried& container, double gas_K) const;

  const PlantSpec& spec_;
  physics::Feed feed_;
  physics::AtTemperature at_fill_;
  physics::AtTemperature at_judge_;
  physics::AtTemperature at_hot_;
  double drink_density_;
  double least_wait_s_;
};

}  // namespace rimebench
