#include "plant_model/line/package_model.hpp"

#include <algorithm>
#include <optional>

#include "plant_model/physics/oxygen.hpp"
#include "plant_model/physics/water.hpp"

namespace rimebench {

namespace {

constexpr double kReferenceC = 20.0;
constexpr double kKgPerMg = 1e-6;
constexpr double kM3PerMl = 1e-6;
/// A wait this much longer than the line's least wait is what made the container bad.
constexpr double kWaitMatters = 1.25;
/// Headspace gas is never colder than nitrogen boils, nor warmer than a warm room.
constexpr double kGasMinK = 80.0;
constexpr double kGasMaxK = 330.0;

double kelvin(double celsius) { return celsius + physics::kZeroCelsiusK; }

double seconds(Duration d) {
  return static_cast<double>(d.raw) / static_cast<double>(kMicrosPerSecond);
}

std::int64_t rounded(double value) {
  return static_cast<std::int64_t>(value < 0.0 ? value - 0.5 : value + 0.5);
}

std::int64_t pascal(const std::optional<double>& gauge_Pa) {
  return gauge_Pa ? rounded(*gauge_Pa) : kLiquidFullPa;
}

physics::Container container_of(const ContainerSpec& spec) {
  return {spec.brimful_ml * kM3PerMl, kelvin(kReferenceC), spec.compliance_ml_per_mpa * 1e-12,
          spec.expansion_ppm_per_k * 1e-6};
}

double least_wait_s(const PlantSpec& spec) {
  double per_min = 0.0;
  for (const SpeedKnot& knot : spec.speed) per_min = std::max(per_min, knot.containers_per_min);
  const FillerSpec& filler = spec.line.filler;
  const double um = filler.kind == FillerKind::kRotary
                        ? static_cast<double>(filler.pitch_um)
                        : static_cast<double>(filler.group_pitch_um) / filler.heads;
  const StationsSpec& at = spec.line.stations;
  const double on_belt = static_cast<double>(at.seam_um - at.nozzle_um) / (per_min / 60.0 * um);
  const bool queued = spec.line.transport == Transport::kQueued;
  return on_belt + (queued ? seconds(Duration{spec.line.seamer.seam_us}) : 0.0);
}

}  // namespace

PackageModel::PackageModel(const PlantSpec& spec)
    : spec_(spec),
      feed_{spec.product.dissolved_nitrogen_mg_per_kg * 1e-6,
            spec.product.dissolved_oxygen_mg_per_kg * 1e-6, spec.product.carbonation_volumes},
      at_fill_(physics::properties_at(container_of(spec.container),
                                      kelvin(spec.product.fill_temperature_c))),
      at_judge_(physics::properties_at(container_of(spec.container), kelvin(spec.limits.judge_c))),
      at_hot_(physics::properties_at(container_of(spec.container), kelvin(spec.limits.hot_c))),
      drink_density_(physics::water_density_kg_per_m3(kelvin(spec.product.fill_temperature_c))),
      least_wait_s_(least_wait_s(spec)) {}

double PackageModel::drink_kg(double fill_deviation) const {
  const double fill_ml = spec_.product.fill_ml + fill_deviation * spec_.product.fill_sd_ml;
  return fill_ml * kM3PerMl * drink_density_;
}

void PackageModel::boil(Carried& container, Instant until, double tau_s) const {
  if (container.liquid_kg > 0.0) {
    const BoilOffSpec& boil_off = spec_.line.boil_off;
    const double spread = 1.0 + container.boil_off_deviation * boil_off.sd_percent / 100.0;
    const physics::DecayLaw law{tau_s * std::max(spread, 0.1), boil_off.exponent,
                                boil_off.reference_mg * kKgPerMg};
    const double left =
        physics::remaining_kg(container.liquid_kg, law, seconds(until - container.liquid_at));
    container.evaporated_kg += container.liquid_kg - left;
    container.liquid_kg = left;
  }
  container.liquid_at = until;
}

void PackageModel::land(Carried& container, Instant at, double liquid_kg) const {
  boil(container, at, spec_.line.boil_off.tau_belt_s);
  container.liquid_kg += liquid_kg;
}

void PackageModel::lay_lid(Carried& container, Instant at) const {
  boil(container, at, spec_.line.boil_off.tau_belt_s);
  container.row.lid_us = at.us;
}

void PackageModel::seam(Carried& container, Instant at) const {
  boil(container, at, spec_.line.boil_off.tau_lid_s);
  LedgerRow& row = container.row;
  row.seam_us = at.us;
  row.wait_us = row.shots > 0 ? at.us - row.landing_us : 0;
  row.sealed_ug = rounded(container.liquid_kg * 1e9);
  const double drink = drink_kg(container.fill_deviation);
  row.fill_ul = rounded(drink / drink_density_ / kM3PerMl * 1000.0);

  const HeadspaceSpec& spec = spec_.line.headspace;
  const double fill_K = kelvin(spec_.product.fill_temperature_c);
  const double open_s = row.shots > 0 ? seconds(Duration{row.lid_us - row.landing_us}) : 0.0;
  const physics::OpenHeadspace open{std::max(physics::headspace_m3(drink, at_fill_), 1e-9),
                                    spec.cold_gas_k, spec.sweep_efficiency,
                                    spec.air_ingress_ml_per_s * kM3PerMl, physics::kAtmospherePa};
  physics::HeadspaceGas gas =
      physics::swept({1.0, fill_K, 0.0}, open, container.evaporated_kg, std::max(open_s, 0.0));
  gas = physics::flushed(gas, {spec.lid_flush_percent / 100.0, fill_K, false});
  gas.gas_K = std::clamp(gas.gas_K + container.gas_deviation * spec.gas_sd_k, kGasMinK, kGasMaxK);
  row.oxygen_ppm = rounded(gas.air_fraction * physics::kOxygenInDryAir * 1e6);

  const auto sealed = physics::seal(at_fill_, feed_, {drink, gas, container.liquid_kg});
  if (sealed) {
    fill_pressures(container, *sealed);
  } else {
    row.equilibrium_pa = row.prompt_pa = kLiquidFullPa;
    row.hot_equilibrium_pa = row.hot_prompt_pa = kLiquidFullPa;
  }
  judge(container, gas.gas_K);
}

void PackageModel::fill_pressures(Carried& container, const physics::Sealed& sealed) const {
  LedgerRow& row = container.row;
  row.equilibrium_pa = pascal(physics::equilibrium_gauge_Pa(sealed, at_judge_));
  row.prompt_pa = pascal(physics::prompt_gauge_Pa(sealed, at_judge_));
  row.hot_equilibrium_pa = pascal(physics::equilibrium_gauge_Pa(sealed, at_hot_));
  row.hot_prompt_pa = pascal(physics::prompt_gauge_Pa(sealed, at_hot_));
  row.tpo_ppb = rounded(physics::total_package_oxygen_ppb(sealed));
}

void PackageModel::judge(Carried& container, double gas_K) const {
  LedgerRow& row = container.row;
  const ContainerLimits& limits = spec_.limits;
  const bool pressure_bad = row.equilibrium_pa < limits.equilibrium_pa_min ||
                            row.equilibrium_pa > limits.equilibrium_pa_max ||
                            row.hot_prompt_pa > limits.hot_prompt_pa_max;
  const bool landing_bad = row.shots > 0 && (row.captured_ppm < limits.captured_ppm_min ||
                                             row.landing_offset_um > limits.landing_offset_um_max ||
                                             row.landing_offset_um < -limits.landing_offset_um_max);
  const bool oxygen_bad = row.oxygen_ppm > limits.oxygen_ppm_max;
  if (!pressure_bad && !landing_bad && !oxygen_bad) return;
  row.bad = 1;
  Cause cause = Cause::kDose;
  if (row.shots == 0) {
    cause = Cause::kNoDose;
  } else if (landing_bad) {
    cause = Cause::kLanding;
  } else if (!pressure_bad) {
    cause = Cause::kOxygen;
  } else if (good_with_nominal_fill(container, gas_K)) {
    cause = Cause::kFill;
  } else if (seconds(Duration{row.wait_us}) > kWaitMatters * least_wait_s_) {
    cause = Cause::kWait;
  }
  row.cause = static_cast<std::int64_t>(cause);
}

bool PackageModel::good_with_nominal_fill(const Carried& container, double gas_K) const {
  const double air = static_cast<double>(container.row.oxygen_ppm) / 1e6 / physics::kOxygenInDryAir;
  const physics::Seam seam{drink_kg(0.0), {air, gas_K, 0.0}, container.liquid_kg};
  const auto sealed = physics::seal(at_fill_, feed_, seam);
  if (!sealed) return false;
  const std::int64_t equilibrium = pascal(physics::equilibrium_gauge_Pa(*sealed, at_judge_));
  const std::int64_t hot = pascal(physics::prompt_gauge_Pa(*sealed, at_hot_));
  return equilibrium >= spec_.limits.equilibrium_pa_min &&
         equilibrium <= spec_.limits.equilibrium_pa_max && hot <= spec_.limits.hot_prompt_pa_max;
}

}  // namespace rimebench
