#pragma once

#include <optional>

/// Nitrogen going into a drink under a constant pressure of it: a tank or a keg (7.1, 7.2). In a
/// sealed pack the pressure falls as the drink takes gas up: see uptake_share() in package.hpp.
namespace rimebench::physics {

/// A drink on its way to its equilibrium, concentrations in kg/kg.
struct Dissolving {
  double start;
  double equilibrium;
  double time_constant_s;  ///< [CAL]: the drink's movement decides
};

double dissolved_after(const Dissolving& drink, double seconds);

/// Time until `wanted` is reached; nothing if it lies beyond the equilibrium.
std::optional<double> seconds_until(const Dissolving& drink, double wanted);

/// Time constant that brings `wanted` in `seconds`; nothing where it lies beyond the equilibrium.
std::optional<double> time_constant_s(double start, double equilibrium, double wanted,
                                      double seconds);

/// Share of the way to equilibrium that diffusion alone brings in a quiet layer of `depth_m` with
/// the gas on one side, to 1e-9.
double diffusion_share(double diffusivity_m2_per_s, double depth_m, double seconds);

/// Diffusivity of nitrogen in water, m2/s: 2.0e-9 at 25 degrees C (CRC Handbook; other handbooks
/// 1.88e-9), scaled as T over viscosity.
double nitrogen_in_water_m2_per_s(double temperature_K);

/// Viscosity of water in Pa s, 0 to 70 degrees C, within 0.4 %: a three-constant Vogel form through
/// IAPWS values at 4, 20 and 60 degrees C.
double water_viscosity_Pa_s(double temperature_K);

}  // namespace rimebench::physics
