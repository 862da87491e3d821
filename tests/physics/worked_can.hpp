#pragma once

#include "plant_model/physics/boil_off.hpp"
#include "plant_model/physics/headspace.hpp"
#include "plant_model/physics/package.hpp"
#include "plant_model/physics/water.hpp"

/// The invented can of the worked example: 374.0 mL brimful at 20 C, 355 mL of still water at 4 C,
/// 30 psig wanted at equilibrium at 20 C, 1.5 s from drop to seam.
namespace rimebench::physics::worked {

inline constexpr double kMilligram = 1.0e-6;
inline constexpr double kMillilitre = 1.0e-6;
inline constexpr double kTarget_Pa = 206842.7;
inline constexpr double kTarget_K = 293.15;
inline constexpr double kFill_K = 277.15;
inline constexpr double kGas_K = 250.0;
inline constexpr double kWait_s = 1.5;
inline constexpr double kFlux_W_per_m2 = 40.0e3;
inline constexpr double kLayer_m = 2.0e-3;

inline constexpr Container kCan{374.0e-6, 293.15, 4.0e-12, 6.93e-5};
inline constexpr Feed kFeed{3.0e-6, 0.5e-6, 0.0};

inline double fill_kg(double fill_ml) {
  return fill_ml * kMillilitre * water_density_kg_per_m3(kFill_K);
}

inline double tau_s() { return boil_off_time_constant_s(kFlux_W_per_m2, kLayer_m); }

inline AtTemperature at(double celsius) { return properties_at(kCan, celsius + kZeroCelsiusK); }

inline OpenHeadspace open_headspace(double drink_kg) {
  return {headspace_m3(drink_kg, at(4.0)), kGas_K, 1.0, 0.0, kAtmospherePa};
}

/// What is in the headspace when `evaporated_kg` has boiled, the gas at 250 K all the while.
inline HeadspaceGas gas_after(double evaporated_kg, double drink_kg) {
  return swept({1.0, kGas_K, 0.0}, open_headspace(drink_kg), evaporated_kg, 1.0);
}

/// The can sealed with `liquid_kg`, of which exp(t/tau) as much had landed `wait_s` before.
inline Sealed sealed(double liquid_kg, double drink_kg, double wait_s) {
  const double landed_kg = starting_kg(liquid_kg, {tau_s(), 1.0, liquid_kg}, wait_s);
  const HeadspaceGas gas = gas_after(landed_kg - liquid_kg, drink_kg);
  return seal(at(4.0), kFeed, {drink_kg, gas, liquid_kg}).value();
}

/// Liquid that must be there at the seam: what boils before changes the gas it is sealed with, so
/// the answer is fed back until it stands.
inline double liquid_for_target_kg(double drink_kg) {
  double liquid_kg = 50.0 * kMilligram;
  for (int i = 0; i < 40; ++i) {
    const Sealed trial = sealed(liquid_kg, drink_kg, kWait_s);
    liquid_kg += liquid_n2_kg_for(trial, at(20.0), kTarget_Pa, 1.0).value();
  }
  return liquid_kg;
}

inline double psi(double gauge_Pa) { return gauge_Pa / kPascalPerPsi; }

}  // namespace rimebench::physics::worked
