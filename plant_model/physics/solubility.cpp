#include "plant_model/physics/solubility.hpp"

#include <array>
#include <cmath>
#include <cstddef>

#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/water.hpp"

namespace rimebench::physics {
namespace {

struct GasRow {
  double a, b, c;  // IAPWS G7-04, Table 1
  TemperatureRange fitted;
  double molar_kg;
  double in_dry_air;
};

constexpr std::array<GasRow, 4> kGases{{
    {-9.67578, 4.72162, 11.70585, {278.12, 636.46}, kNitrogenMolarKg, kNitrogenInDryAir},
    {-9.44833, 4.43822, 11.42005, {274.15, 616.52}, kOxygenMolarKg, kOxygenInDryAir},
    // Carbon dioxide in air (about 420 ppm) is left out: it does not matter for a still drink's
    // pressure.
    {-8.55445, 4.01195, 9.52345, {274.19, 642.66}, kCarbonDioxideMolarKg, 0.0},
    {-8.40954, 4.29587, 10.52779, {273.19, 568.36}, kArgonMolarKg, kArgonInDryAir},
}};

const GasRow& row_of(Gas gas) { return kGases[static_cast<std::size_t>(gas)]; }

}  // namespace

double molar_kg(Gas gas) { return row_of(gas).molar_kg; }

double henry_constant_Pa(Gas gas, double temperature_K) {
  const GasRow& row = row_of(gas);
  const double reduced = temperature_K / 647.096;
  const double tau = 1.0 - reduced;
  const double log_ratio = row.a / reduced + row.b * std::pow(tau, 0.355) / reduced +
                           row.c * std::pow(reduced, -0.41) * std::exp(tau);
  return water_saturation_wagner_Pa(temperature_K) * std::exp(log_ratio);
}

TemperatureRange henry_fitted_range(Gas gas) { return row_of(gas).fitted; }

double dissolved_kg_per_kg(Gas gas, double partial_Pa, double temperature_K) {
  return partial_Pa / henry_constant_Pa(gas, temperature_K) * row_of(gas).molar_kg / kWaterMolarKg;
}

double air_saturated_kg_per_kg(Gas gas, double temperature_K, double ambient_Pa) {
  const double dry_Pa = ambient_Pa - water_saturation_Pa(temperature_K);
  return dissolved_kg_per_kg(gas, row_of(gas).in_dry_air * dry_Pa, temperature_K);
}

}  // namespace rimebench::physics
