#include "plant_model/package/package_model.hpp"

#include <algorithm>

#include "plant_model/physics/water.hpp"

namespace rimebench {

namespace {

constexpr double kReferenceC = 20.0;  // brimful volumes are stated at it
constexpr double kKgPerMg = 1e-6;
constexpr double kM3PerMl = 1e-6;
/// Headspace gas is never colder than nitrogen boils, nor warmer than a warm room.
constexpr double kGasMinK = 80.0;
constexpr double kGasMaxK = 330.0;
/// A brimful container still has a sliver of headspace for the sweep; the seal refuses it
/// afterwards.
constexpr double kSliverM3 = 1e-9;
/// A boil-off time far below its mean would be another regime: the spread stops here.
constexpr double kTauShareMin = 0.1;

physics::Container container_of(const ContainerSpec& spec) {
  const double room_ml = spec.brimful_ml - spec.insert_ml + spec.insert_gas_ml;
  return {room_ml * kM3PerMl, kelvin(kReferenceC), spec.compliance_ml_per_mpa * 1e-12,
          spec.expansion_ppm_per_k * 1e-6};
}

/// While it is filled, an insert takes its whole volume from the drink.
physics::AtTemperature open_container(physics::AtTemperature at, double insert_gas_m3) {
  at.container_m3 -= insert_gas_m3;
  return at;
}

double density_of(const ProductSpec& product) {
  if (product.dry) return product.dry_density_kg_per_l * 1000.0;
  return physics::water_density_kg_per_m3(kelvin(product.fill_temperature_c));
}

}  // namespace

double kelvin(double celsius) { return celsius + physics::kZeroCelsiusK; }

PackageModel::PackageModel(const ContainerSpec& container, const ProductSpec& product,
                           const LineSpec& line)
    : product_(product),
      line_(line),
      container_(container_of(container)),
      creep_{container.creep_percent / 100.0, container.creep_start_h * 3600.0},
      insert_gas_m3_(container.insert_gas_ml * kM3PerMl),
      insert_oxygen_share_(container.insert_oxygen_percent / 100.0),
      feed_{product.dissolved_nitrogen_mg_per_kg * 1e-6, product.dissolved_oxygen_mg_per_kg * 1e-6,
            product.carbonation_volumes},
      at_fill_(open_container(at(product.fill_temperature_c), insert_gas_m3_)),
      drink_density_(density_of(product)) {}

double PackageModel::drink_kg(double fill_deviation) const {
  return (product_.fill_ml + fill_deviation * product_.fill_sd_ml) * kM3PerMl * drink_density_;
}

double PackageModel::fill_ml(double drink_kg) const { return drink_kg / drink_density_ / kM3PerMl; }

physics::DecayLaw PackageModel::law(BoilStage stage, double deviation) const {
  const BoilOffSpec& boil_off = line_.boil_off;
  const double tau_s = stage == BoilStage::kBelt ? boil_off.tau_belt_s : boil_off.tau_lid_s;
  const double share = std::max(1.0 + deviation * boil_off.sd_percent / 100.0, kTauShareMin);
  return {tau_s * share, boil_off.exponent, boil_off.reference_mg * kKgPerMg};
}

double PackageModel::left_kg(double start_kg, BoilStage stage, double seconds,
                             double deviation) const {
  return physics::remaining_kg(start_kg, law(stage, deviation), seconds);
}

double PackageModel::needed_kg(double left_kg, BoilStage stage, double seconds) const {
  return physics::starting_kg(left_kg, law(stage, 0.0), seconds);
}

physics::HeadspaceGas PackageModel::gas_at_seam(double drink_kg, double evaporated_kg,
                                                double open_s, double gas_deviation) const {
  const HeadspaceSpec& spec = line_.headspace;
  const double fill_K = kelvin(product_.fill_temperature_c);
  const double headspace = std::max(physics::headspace_m3(drink_kg, at_fill_), kSliverM3);
  const physics::OpenHeadspace open{headspace, spec.cold_gas_k, spec.sweep_efficiency,
                                    spec.air_ingress_ml_per_s * kM3PerMl, physics::kAtmospherePa};
  physics::HeadspaceGas gas = physics::swept({1.0, fill_K, 0.0}, open, evaporated_kg, open_s);
  gas = physics::flushed(gas, {spec.lid_flush_percent / 100.0, fill_K, false});
  gas.gas_K = std::clamp(gas.gas_K + gas_deviation * spec.gas_sd_k, kGasMinK, kGasMaxK);
  return gas;
}

std::optional<physics::Sealed> PackageModel::seal(double drink_kg, const physics::HeadspaceGas& gas,
                                                  double liquid_kg) const {
  std::optional<physics::Sealed> sealed =
      physics::seal(at_fill_, feed_, {drink_kg, gas, liquid_kg});
  if (sealed && insert_gas_m3_ > 0.0) add_insert_gas(*sealed);
  return sealed;
}

void PackageModel::add_insert_gas(physics::Sealed& sealed) const {
  const double moles =
      at_fill_.ambient_Pa * insert_gas_m3_ / (physics::kGasConstant * at_fill_.temperature_K);
  sealed.n2.gas += moles * (1.0 - insert_oxygen_share_);
  sealed.o2.gas += moles * insert_oxygen_share_;
}

physics::AtTemperature PackageModel::at(double celsius, double age_s) const {
  return of_product(
      physics::properties_at(physics::crept(container_, creep_, age_s), kelvin(celsius)));
}

/// Dry goods hold no water: nothing dissolves in them and their volume stays. A drink's sugar, salt
/// or alcohol changes what dissolves.
physics::AtTemperature PackageModel::of_product(physics::AtTemperature at) const {
  const bool dry = product_.dry;
  const double takes_up = dry ? 0.0 : product_.solubility_percent / 100.0;
  at.n2_mol_per_kg_Pa *= takes_up;
  at.o2_mol_per_kg_Pa *= takes_up;
  at.co2_mol_per_kg_Pa *= takes_up;
  if (dry) {
    at.water_vapour_Pa = 0.0;
    at.drink_m3_per_kg = 1.0 / (product_.dry_density_kg_per_l * 1000.0);
  }
  return at;
}

}  // namespace rimebench
