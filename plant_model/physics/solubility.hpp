#pragma once

namespace rimebench::physics {

enum class Gas { kNitrogen, kOxygen, kCarbonDioxide, kArgon };

struct TemperatureRange {
  double from_K;
  double to_K;
};

/// Molar mass in kg/mol.
double molar_kg(Gas gas);

/// Henry's constant of a gas in pure water, Pa of partial pressure per mole fraction dissolved.
/// IAPWS G7-04, equation 3. Honest error for nitrogen: 2 % near 0 degrees C, 0.5 % from 20 to 40.
double henry_constant_Pa(Gas gas, double temperature_K);

/// Temperatures the constant was fitted over (IAPWS G7-04, Table 2). Nitrogen starts at 278.12 K,
/// so a drink at 4 degrees C is an extrapolation by 1 K: to be told to the user, not refused.
TemperatureRange henry_fitted_range(Gas gas);

/// Gas dissolved at equilibrium under `partial_Pa` of that gas, kg per kg of water.
double dissolved_kg_per_kg(Gas gas, double partial_Pa, double temperature_K);

/// Gas dissolved in water left open to moist air at `ambient_Pa`, kg per kg of water.
double air_saturated_kg_per_kg(Gas gas, double temperature_K, double ambient_Pa);

}  // namespace rimebench::physics
