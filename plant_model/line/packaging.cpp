#include "plant_model/line/packaging.hpp"

#include "plant_model/line/drive.hpp"
#include "plant_model/physics/oxygen.hpp"
#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

constexpr double kUgPerKg = 1e9;
/// A wait this much longer than the line's least wait is what made the container bad.
constexpr double kWaitMatters = 1.25;

std::int64_t rounded(double value) {
  return static_cast<std::int64_t>(value < 0.0 ? value - 0.5 : value + 0.5);
}

std::int64_t pascal(const std::optional<double>& gauge_Pa) {
  return gauge_Pa ? rounded(*gauge_Pa) : kLiquidFullPa;
}

/// Nozzle to seam at the fastest speed, with nothing in the way.
double least_wait_s(const PlantSpec& spec) {
  const StationsSpec& at = spec.line.stations;
  const double on_belt = static_cast<double>(at.seam_um - at.nozzle_um) / fastest_um_per_s(spec);
  const bool queued = spec.line.transport == Transport::kQueued;
  return on_belt + (queued ? seconds(Duration{spec.line.seamer.seam_us}) : 0.0);
}

}  // namespace

Packaging::Contents::Contents(const ContainerSpec& container_spec, const ProductSpec& product_spec,
                              const PlantSpec& spec)
    : container(container_spec),
      product(product_spec),
      model(container, product, spec.line),
      at_judge(model.at(spec.limits.judge_c)),
      at_hot(model.at(spec.limits.hot_c)),
      at_check(model.at(spec.line.pressure_check ? spec.line.pressure_check->temperature_c
                                                 : spec.limits.judge_c)) {}

Packaging::Packaging(const PlantSpec& spec)
    : spec_(spec), right_(spec.container, spec.product, spec), least_wait_s_(least_wait_s(spec)) {
  const WrongContainer& wrong = spec.happens.wrong_container;
  if (wrong.share_ppm == 0) return;
  // The same body and wall, holding another volume and another fill.
  ContainerSpec container = spec.container;
  ProductSpec product = spec.product;
  container.brimful_ml = wrong.brimful_ml;
  product.fill_ml = wrong.fill_ml;
  product.rim_to_drink_um = wrong.rim_to_drink_um;
  wrong_.emplace(container, product, spec);
}

void Packaging::boil(Carried& container, BoilStage stage, Instant until) const {
  if (container.liquid_kg > 0.0) {
    const double left = contents_of(container).model.left_kg(container.liquid_kg, stage,
                                                             seconds(until - container.liquid_at),
                                                             container.boil_off_deviation);
    container.evaporated_kg += container.liquid_kg - left;
    container.liquid_kg = left;
  }
  container.liquid_at = until;
}

void Packaging::land(Carried& container, Instant at, double liquid_kg) const {
  boil(container, BoilStage::kBelt, at);
  container.liquid_kg += liquid_kg;
}

void Packaging::lay_lid(Carried& container, Instant at) const {
  boil(container, BoilStage::kBelt, at);
  container.row.lid_us = at.us;
}

void Packaging::seam(Carried& container, Instant at) const {
  boil(container, BoilStage::kUnderLid, at);
  LedgerRow& row = container.row;
  row.seam_us = at.us;
  row.wait_us = row.shots > 0 ? at.us - row.landing_us : 0;
  row.sealed_ug = rounded(container.liquid_kg * kUgPerKg);
  const PackageModel& model = contents_of(container).model;
  const double drink_kg = model.drink_kg(container.fill_deviation);
  row.fill_ul = rounded(model.fill_ml(drink_kg) * 1000.0);
  const physics::HeadspaceGas gas = gas_in(container);
  row.oxygen_ppm = rounded(gas.air_fraction * physics::kOxygenInDryAir * 1e6);
  fill_pressures(row, contents_of(container), model.seal(drink_kg, gas, container.liquid_kg));
  judge(container, gas);
}

physics::HeadspaceGas Packaging::gas_in(const Carried& container) const {
  const LedgerRow& row = container.row;
  const PackageModel& model = contents_of(container).model;
  const double open_s = row.shots > 0 ? seconds(Duration{row.lid_us - row.landing_us}) : 0.0;
  return model.gas_at_seam(model.drink_kg(container.fill_deviation), container.evaporated_kg,
                           open_s, container.gas_deviation);
}

std::int64_t Packaging::felt_pa(const Carried& container, Instant at) const {
  constexpr std::int64_t kStepPa = 10;
  const Contents& contents = contents_of(container);
  const PackageModel& model = contents.model;
  const double left =
      model.left_kg(container.liquid_kg, BoilStage::kUnderLid, seconds(at - container.liquid_at),
                    container.boil_off_deviation);
  const auto sealed = model.seal(model.drink_kg(container.fill_deviation), gas_in(container),
                                 container.liquid_kg - left);
  if (!sealed) return kLiquidFullPa;
  return pascal(physics::prompt_gauge_Pa(*sealed, contents.at_check)) / kStepPa * kStepPa;
}

void Packaging::fill_pressures(LedgerRow& row, const Contents& contents,
                               const std::optional<physics::Sealed>& sealed) {
  if (!sealed) {
    row.equilibrium_pa = row.prompt_pa = kLiquidFullPa;
    row.hot_equilibrium_pa = row.hot_prompt_pa = kLiquidFullPa;
    return;
  }
  row.equilibrium_pa = pascal(physics::equilibrium_gauge_Pa(*sealed, contents.at_judge));
  row.prompt_pa = pascal(physics::prompt_gauge_Pa(*sealed, contents.at_judge));
  row.hot_equilibrium_pa = pascal(physics::equilibrium_gauge_Pa(*sealed, contents.at_hot));
  row.hot_prompt_pa = pascal(physics::prompt_gauge_Pa(*sealed, contents.at_hot));
  row.tpo_ppb = rounded(physics::total_package_oxygen_ppb(*sealed));
}

bool Packaging::pressure_bad(const LedgerRow& row) const {
  const ContainerLimits& limits = spec_.limits;
  return row.equilibrium_pa < limits.equilibrium_pa_min ||
         row.equilibrium_pa > limits.equilibrium_pa_max || row.prompt_pa > limits.prompt_pa_max ||
         row.hot_equilibrium_pa > limits.hot_equilibrium_pa_max ||
         row.hot_prompt_pa > limits.hot_prompt_pa_max;
}

void Packaging::judge(Carried& container, const physics::HeadspaceGas& gas) const {
  LedgerRow& row = container.row;
  const ContainerLimits& limits = spec_.limits;
  const bool bad_pressure = pressure_bad(row);
  const bool bad_landing = row.shots > 0 && (row.captured_ppm < limits.captured_ppm_min ||
                                             row.landing_offset_um > limits.landing_offset_um_max ||
                                             row.landing_offset_um < -limits.landing_offset_um_max);
  const bool bad_oxygen =
      row.oxygen_ppm > limits.oxygen_ppm_max || row.tpo_ppb > limits.tpo_ppb_max;
  const bool bad_wait =
      row.shots > 0 && (row.wait_us < limits.wait_us_min || row.wait_us > limits.wait_us_max);
  if (!bad_pressure && !bad_landing && !bad_oxygen && !bad_wait) return;
  row.bad = 1;
  Cause cause = Cause::kDose;
  // Too hard without a shot: stray liquid is a wrong dose, not a missing one.
  const bool hard = row.equilibrium_pa > limits.equilibrium_pa_max ||
                    row.hot_prompt_pa > limits.hot_prompt_pa_max;
  if (row.shots == 0 && !hard) {
    cause = Cause::kNoDose;
  } else if (bad_landing) {
    cause = Cause::kLanding;
  } else if (bad_wait) {
    cause = Cause::kWait;
  } else if (!bad_pressure) {
    cause = Cause::kOxygen;
  } else if (row.shots > 1) {
    cause = Cause::kDoubleDose;
  } else if (good_with_nominal_fill(container, gas)) {
    cause = Cause::kFill;
  } else if (seconds(Duration{row.wait_us}) > kWaitMatters * least_wait_s_) {
    cause = Cause::kWait;
  }
  row.cause = static_cast<std::int64_t>(cause);
}

bool Packaging::good_with_nominal_fill(const Carried& container,
                                       const physics::HeadspaceGas& gas) const {
  const Contents& contents = contents_of(container);
  LedgerRow nominal;
  fill_pressures(nominal, contents,
                 contents.model.seal(contents.model.drink_kg(0.0), gas, container.liquid_kg));
  return !pressure_bad(nominal);
}

}  // namespace rimebench
