#pragma once

/// What becomes of one container on the line: liquid lands, boils until the seam, is shut in; the
/// ledger row gets its pressures and what is bad about it. No event time depends on it.

#include <optional>

#include "plant_model/line/carried.hpp"
#include "plant_model/package/package_model.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

class Packaging {
 public:
  explicit Packaging(const PlantSpec& spec);
  Packaging(const Packaging&) = delete;
  /// All that it holds follows from the scenario, which is the same.
  // NOLINTNEXTLINE(bugprone-unhandled-self-assignment): there is nothing to assign
  Packaging& operator=(const Packaging&) { return *this; }

  /// Liquid that lands adds to what is left of earlier shots.
  void land(Carried& container, Instant at, double liquid_kg) const;
  /// Boils off what was lost on the belt until the lid.
  void lay_lid(Carried& container, Instant at) const;
  /// Closes the container and fills in the row's pressures and oxygen, and what is bad about it.
  void seam(Carried& container, Instant at) const;
  /// Pa gauge in a closed container as a pressure check feels it: what has boiled by now, nothing
  /// dissolved yet. In steps of 10 Pa, so that the last bit of an exponential decides nothing.
  std::int64_t felt_pa(const Carried& container, Instant at) const;

 private:
  /// The right container and its product, or the wrong ones.
  struct Contents {
    Contents(const ContainerSpec& container, const ProductSpec& product, const PlantSpec& spec);
    Contents(const Contents&) = delete;
    Contents& operator=(const Contents&) = delete;

    ContainerSpec container;
    ProductSpec product;
    PackageModel model;
    physics::AtTemperature at_judge;
    physics::AtTemperature at_hot;
    physics::AtTemperature at_check;
  };

  const Contents& contents_of(const Carried& container) const {
    return has_befallen(container, Befell::kWrongContainer) ? *wrong_ : right_;
  }
  physics::HeadspaceGas gas_in(const Carried& container) const;
  void boil(Carried& container, BoilStage stage, Instant until) const;
  static void fill_pressures(LedgerRow& row, const Contents& contents,
                             const std::optional<physics::Sealed>& sealed);
  void judge(Carried& container, const physics::HeadspaceGas& gas) const;
  bool pressure_bad(const LedgerRow& row) const;
  bool good_with_nominal_fill(const Carried& container, const physics::HeadspaceGas& gas) const;

  const PlantSpec& spec_;
  Contents right_;
  std::optional<Contents> wrong_;
  double least_wait_s_;
};

}  // namespace rimebench
