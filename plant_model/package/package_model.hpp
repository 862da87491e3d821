#pragma once

/// From the specs to the physics, once for both directions: the line runs a container forward
/// through this model, the planner runs it backward, so plan and run cannot disagree.
///   liquid landed ─> boil-off (belt, under the lid) ─> headspace gas at the seam ─> sealed ─>
///   pressures

#include <cstdint>
#include <optional>

#include "plant_model/physics/boil_off.hpp"
#include "plant_model/physics/headspace.hpp"
#include "plant_model/physics/package.hpp"
#include "plant_model/spec/container.hpp"
#include "plant_model/spec/line.hpp"

namespace rimebench {

/// Kelvin of a temperature in degrees Celsius.
double kelvin(double celsius);

/// Where liquid nitrogen boils: in the open, or with the lid laid but not yet closed.
enum class BoilStage : std::uint8_t { kBelt, kUnderLid };

class PackageModel {
 public:
  /// The specs must outlive the model.
  PackageModel(const ContainerSpec& container, const ProductSpec& product, const LineSpec& line);

  /// Mass in kg of a fill that is this many standard deviations off.
  double drink_kg(double fill_deviation) const;
  double fill_ml(double drink_kg) const;

  /// Liquid left of `start_kg` after `seconds`; a container's boil-off is `deviation` standard
  /// deviations off.
  double left_kg(double start_kg, BoilStage stage, double seconds, double deviation) const;
  /// Liquid that must be there at the start for `left_kg` to be left: the inverse.
  double needed_kg(double left_kg, BoilStage stage, double seconds) const;

  /// Headspace gas as the lid closes, after `evaporated_kg` boiled, `open_s` of it before the lid.
  physics::HeadspaceGas gas_at_seam(double drink_kg, double evaporated_kg, double open_s,
                                    double gas_deviation) const;

  /// What is shut in; nothing if the drink fills the container to the brim.
  std::optional<physics::Sealed> seal(double drink_kg, const physics::HeadspaceGas& gas,
                                      double liquid_kg) const;

  /// Properties for pressures at a temperature: make them once, use them for every container. A
  /// plastic wall has crept for `age_s` since the seam.
  physics::AtTemperature at(double celsius, double age_s = 0.0) const;

 private:
  physics::DecayLaw law(BoilStage stage, double deviation) const;
  physics::AtTemperature of_product(physics::AtTemperature at) const;
  void add_insert_gas(physics::Sealed& sealed) const;

  const ProductSpec& product_;
  const LineSpec& line_;
  physics::Container container_;  ///< with the gas of an insert counted in
  physics::Creep creep_;
  double insert_gas_m3_;
  double insert_oxygen_share_;
  physics::Feed feed_;
  physics::AtTemperature at_fill_;
  double drink_density_;
};

}  // namespace rimebench
