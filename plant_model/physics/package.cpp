#include "plant_model/physics/package.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <span>

#include "plant_model/physics/nitrogen.hpp"
#include "plant_model/physics/solubility.hpp"
#include "plant_model/physics/water.hpp"

namespace rimebench::physics {
namespace {

constexpr double kWaterCompressibilityPerPa = 4.6e-10;
constexpr double kHighestAbsolutePa = 5.0e6;
constexpr double kSmallestHeadspaceM3 = 1.0e-12;
constexpr int kStepsMax = 100;
// Newton doubles the digits each step, so the last step leaves rounding only.
constexpr double kRelativeTolerance = 1.0e-9;

/// Moles that press on the headspace and the liquid that takes its share of them.
struct Share {
  double moles;
  double liquid_mol_per_Pa;
};

/// At most: everything as gas, and each of the three gases divided.
class Shares {
 public:
  void add(double moles, double liquid_mol_per_Pa) {
    if (moles != 0.0) items_[count_++] = {moles, liquid_mol_per_Pa};
  }
  std::span<const Share> all() const { return {items_.data(), count_}; }

 private:
  std::array<Share, 4> items_{};
  std::size_t count_ = 0;
};

double uptake_mol_per_kg_Pa(Gas gas, double temperature_K) {
  return 1.0 / (kWaterMolarKg * henry_constant_Pa(gas, temperature_K));
}

/// Growth of the headspace in m3 per Pa: the wall gives way and the drink is compressed.
double headspace_growth(double drink_kg, const AtTemperature& at) {
  return at.compliance_m3_per_Pa + kWaterCompressibilityPerPa * drink_kg * at.drink_m3_per_kg;
}

/// Z R T, J/mol.
double gas_J_per_mol(const AtTemperature& at, double absolute_Pa) {
  return kGasConstant * at.temperature_K + at.virial_m3_per_mol * absolute_Pa;
}

Shares shares_of(const Sealed& sealed, const AtTemperature& at, double uptake) {
  Shares shares;
  if (uptake < 1.0)
    shares.add((1.0 - uptake) * (sealed.n2.gas + sealed.o2.gas + sealed.co2.gas), 0.0);
  if (uptake > 0.0) {
    shares.add(uptake * sealed.n2.total(), sealed.drink_kg * at.n2_mol_per_kg_Pa);
    shares.add(uptake * sealed.o2.total(), sealed.drink_kg * at.o2_mol_per_kg_Pa);
    shares.add(uptake * sealed.co2.total(), sealed.drink_kg * at.co2_mol_per_kg_Pa);
  }
  return shares;
}

/// The pressure balance f(P) = P - p_w - sum n z / (V + L z) with V the headspace and z = Z R T at
/// P. It rises with P, as the headspace grows.
class Balance {
 public:
  Balance(const Sealed& sealed, const AtTemperature& at, double uptake)
      : shares_(shares_of(sealed, at, uptake)),
        water_vapour_Pa_(at.water_vapour_Pa),
        growth_(headspace_growth(sealed.drink_kg, at)),
        vacuum_m3_(headspace_m3(sealed.drink_kg, at) - growth_ * at.ambient_Pa),
        ideal_J_per_mol_(kGasConstant * at.temperature_K),
        virial_(at.virial_m3_per_mol) {}

  double headspace(double absolute_Pa) const { return vacuum_m3_ + growth_ * absolute_Pa; }

  /// Below this there is no headspace, or the water boils.
  double lowest_Pa() const { return std::max(water_vapour_Pa_, -vacuum_m3_ / growth_); }

  /// Partial pressures of the gases in an ideal, rigid package.
  double rigid_Pa(double volume_m3) const {
    double sum = water_vapour_Pa_;
    for (const Share& share : shares_.all()) {
      sum +=
          share.moles * ideal_J_per_mol_ / (volume_m3 + share.liquid_mol_per_Pa * ideal_J_per_mol_);
    }
    return sum;
  }

  struct Point {
    double value;
    double slope;
  };

  Point at(double absolute_Pa) const {
    const double volume = headspace(absolute_Pa);
    const double energy = ideal_J_per_mol_ + virial_ * absolute_Pa;
    const double widening = energy * growth_ - virial_ * volume;
    Point f{absolute_Pa - water_vapour_Pa_, 1.0};
    for (const Share& share : shares_.all()) {
      const double per_room = 1.0 / (volume + share.liquid_mol_per_Pa * energy);
      f.value -= share.moles * energy * per_room;
      f.slope += share.moles * widening * per_room * per_room;
    }
    return f;
  }

 private:
  Shares shares_;
  double water_vapour_Pa_;
  double growth_;
  double vacuum_m3_;
  double ideal_J_per_mol_;
  double virial_;
};

/// Newton from the rigid package's pressure, kept inside a bracket that halves when a step leaves
/// it.
std::optional<double> root_of(const Balance& balance, double ambient_Pa) {
  double low = balance.lowest_Pa();
  double high = kHighestAbsolutePa;
  if (low >= high) return std::nullopt;
  const double at_ambient = balance.headspace(ambient_Pa);
  double guess = at_ambient > 0.0 ? balance.rigid_Pa(at_ambient) : 0.5 * (low + high);
  guess = std::clamp(guess, low, high);
  for (int step = 0; step < kStepsMax; ++step) {
    const Balance::Point f = balance.at(guess);
    (f.value < 0.0 ? low : high) = guess;
    const double next = guess - f.value / f.slope;
    const double closest = kRelativeTolerance * guess;
    if (std::abs(next - guess) <= closest) {
      guess = next;
      break;
    }
    guess = next > low && next < high ? next : 0.5 * (low + high);
    if (high - low <= closest) break;
  }
  if (guess > kHighestAbsolutePa * (1.0 - 1.0e-6)) return std::nullopt;
  if (balance.headspace(guess) < kSmallestHeadspaceM3) return std::nullopt;
  return guess;
}

}  // namespace

AtTemperature properties_at(const Container& container, double temperature_K, double ambient_Pa) {
  const double growth = container.expansion_per_K * (temperature_K - container.reference_K);
  return {.temperature_K = temperature_K,
          .ambient_Pa = ambient_Pa,
          .container_m3 = container.brimful_m3 * (1.0 + growth),
          .compliance_m3_per_Pa = container.compliance_m3_per_Pa,
          .drink_m3_per_kg = 1.0 / water_density_kg_per_m3(temperature_K),
          .water_vapour_Pa = water_saturation_Pa(temperature_K),
          .virial_m3_per_mol = nitrogen_second_virial_m3_per_mol(temperature_K),
          .n2_mol_per_kg_Pa = uptake_mol_per_kg_Pa(Gas::kNitrogen, temperature_K),
          .o2_mol_per_kg_Pa = uptake_mol_per_kg_Pa(Gas::kOxygen, temperature_K),
          .co2_mol_per_kg_Pa = uptake_mol_per_kg_Pa(Gas::kCarbonDioxide, temperature_K)};
}

Container crept(const Container& container, const Creep& creep, double seconds) {
  if (creep.per_e_fold == 0.0) return container;
  Container later = container;
  later.brimful_m3 *= 1.0 + creep.per_e_fold * std::log1p(seconds / creep.start_s);
  return later;
}

double salting_out_share(double setschenow_L_per_mol, double mol_per_L) {
  return std::pow(10.0, -setschenow_L_per_mol * mol_per_L);
}

double headspace_m3(double drink_kg, const AtTemperature& at) {
  return at.container_m3 - drink_kg * at.drink_m3_per_kg;
}

double headspace_under_pressure_m3(double drink_kg, const AtTemperature& at, double gauge_Pa) {
  return headspace_m3(drink_kg, at) + headspace_growth(drink_kg, at) * gauge_Pa;
}

std::optional<Sealed> seal(const AtTemperature& at_fill, const Feed& feed, const Seam& seam) {
  const double volume = headspace_m3(seam.drink_kg, at_fill);
  if (!(volume > 0.0)) return std::nullopt;
  const double gas_K = seam.gas.gas_K;
  const double compressibility = nitrogen_compressibility(at_fill.ambient_Pa, gas_K);
  const double moles = at_fill.ambient_Pa * volume / (compressibility * kGasConstant * gas_K);
  const double vapour_share =
      at_fill.water_vapour_Pa / at_fill.ambient_Pa * gas_K / at_fill.temperature_K;
  const double dry = moles * (1.0 - vapour_share);
  const double oxygen = seam.gas.air_fraction * kOxygenInDryAir * dry;
  const double carbon_dioxide = seam.gas.co2_fraction * dry;
  const double drink_m3 = seam.drink_kg * at_fill.drink_m3_per_kg;
  return Sealed{.drink_kg = seam.drink_kg,
                .n2 = {dry - oxygen - carbon_dioxide + seam.liquid_n2_kg / kNitrogenMolarKg,
                       feed.n2_kg_per_kg * seam.drink_kg / kNitrogenMolarKg},
                .o2 = {oxygen, feed.o2_kg_per_kg * seam.drink_kg / kOxygenMolarKg},
                .co2 = {carbon_dioxide, feed.co2_volumes * drink_m3 * kCarbonDioxideVolumeKgPerM3 /
                                            kCarbonDioxideMolarKg}};
}

std::optional<double> gauge_after_uptake_Pa(const Sealed& sealed, const AtTemperature& at,
                                            double uptake) {
  const std::optional<double> absolute = root_of(Balance(sealed, at, uptake), at.ambient_Pa);
  if (!absolute) return std::nullopt;
  return *absolute - at.ambient_Pa;
}

std::optional<double> prompt_gauge_Pa(const Sealed& sealed, const AtTemperature& at) {
  return gauge_after_uptake_Pa(sealed, at, 0.0);
}

std::optional<double> equilibrium_gauge_Pa(const Sealed& sealed, const AtTemperature& at) {
  return gauge_after_uptake_Pa(sealed, at, 1.0);
}

std::optional<double> liquid_n2_kg_for(const Sealed& sealed, const AtTemperature& at,
                                       double target_gauge_Pa, double uptake) {
  const double volume = headspace_under_pressure_m3(sealed.drink_kg, at, target_gauge_Pa);
  if (!(volume > 0.0)) return std::nullopt;
  const double absolute = at.ambient_Pa + target_gauge_Pa;
  const double missing_Pa = Balance(sealed, at, uptake).at(absolute).value;
  const double gas_capacity = volume / gas_J_per_mol(at, absolute);
  const double liquid_capacity = sealed.drink_kg * at.n2_mol_per_kg_Pa;
  const double Pa_per_mol =
      (1.0 - uptake) / gas_capacity + uptake / (gas_capacity + liquid_capacity);
  return kNitrogenMolarKg * missing_Pa / Pa_per_mol;
}

Sealed not_yet_boiled(const Sealed& sealed, double liquid_kg) {
  Sealed now = sealed;
  now.n2.gas -= liquid_kg / kNitrogenMolarKg;
  return now;
}

Sealed divided(const Sealed& sealed, const AtTemperature& at, double gauge_Pa, double uptake) {
  const double gas_capacity = headspace_under_pressure_m3(sealed.drink_kg, at, gauge_Pa) /
                              gas_J_per_mol(at, at.ambient_Pa + gauge_Pa);
  const auto split = [&](const Moles& moles, double mol_per_kg_Pa) {
    const double liquid_capacity = sealed.drink_kg * mol_per_kg_Pa;
    const double settled = moles.total() * gas_capacity / (gas_capacity + liquid_capacity);
    const double gas = (1.0 - uptake) * moles.gas + uptake * settled;
    return Moles{gas, moles.total() - gas};
  };
  return {sealed.drink_kg, split(sealed.n2, at.n2_mol_per_kg_Pa),
          split(sealed.o2, at.o2_mol_per_kg_Pa), split(sealed.co2, at.co2_mol_per_kg_Pa)};
}

double nitrogen_capacity_ratio(const Sealed& sealed, const AtTemperature& at, double gauge_Pa) {
  return sealed.drink_kg * at.n2_mol_per_kg_Pa * gas_J_per_mol(at, at.ambient_Pa + gauge_Pa) /
         headspace_under_pressure_m3(sealed.drink_kg, at, gauge_Pa);
}

double uptake_share(double rate_per_s, double capacity_ratio, double seconds) {
  return -std::expm1(-rate_per_s * (1.0 + capacity_ratio) * seconds);
}

double diffusion_rate_per_s(double diffusivity_m2_per_s, double depth_m) {
  return std::numbers::pi * std::numbers::pi * diffusivity_m2_per_s / (4.0 * depth_m * depth_m);
}

double diffusion_uptake_share(double diffusivity_m2_per_s, double depth_m, double seconds) {
  return 2.0 / depth_m * std::sqrt(diffusivity_m2_per_s * seconds / std::numbers::pi);
}

double wall_volume_strain(const Wall& wall, double gauge_Pa) {
  return gauge_Pa * wall.radius_m / (wall.young_Pa * wall.thickness_m) * (2.5 - 2.0 * wall.poisson);
}

}  // namespace rimebench::physics
