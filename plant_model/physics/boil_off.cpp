#include "plant_model/physics/boil_off.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "plant_model/physics/nitrogen.hpp"
#include "plant_model/physics/water.hpp"

namespace rimebench::physics {
namespace {

double nitrogen_capillary_length_m() {
  const double surface_tension = nitrogen_surface_tension_N_per_m(kNitrogenBoilingK);
  const double vapour = nitrogen_saturation(kNitrogenBoilingK).vapour_kg_per_m3;
  return capillary_length_m(surface_tension, kLiquidNitrogenKgPerM3 - vapour);
}

/// Rate of mass loss in kg/s of a drop of `mass_kg`.
double drop_evaporation_kg_per_s(double mass_kg, double speed_m_per_s, double air_K) {
  const double diameter = std::cbrt(6.0 * mass_kg / (std::numbers::pi * kLiquidNitrogenKgPerM3));
  const double superheat = air_K - kNitrogenBoilingK;
  const Vapour film = nitrogen_vapour(0.5 * (air_K + kNitrogenBoilingK));
  const double reynolds = film.density_kg_per_m3 * speed_m_per_s * diameter / film.viscosity_Pa_s;
  const double prandtl =
      film.heat_capacity_J_per_kg_K * film.viscosity_Pa_s / film.conductivity_W_per_m_K;
  const double nusselt = 2.0 + 0.6 * std::sqrt(reynolds) * std::cbrt(prandtl);
  const double blowing = film.heat_capacity_J_per_kg_K * superheat / kNitrogenLatentJPerKg;
  const double heat_W = nusselt * film.conductivity_W_per_m_K * std::numbers::pi * diameter *
                        superheat * std::log1p(blowing) / blowing;
  return heat_W / kNitrogenLatentJPerKg;
}

/// K of dm/dt = -K m^p.
double decay_rate(const DecayLaw& law) {
  return std::pow(law.reference_kg, 1.0 - law.exponent) / law.tau_s;
}

}  // namespace

double capillary_length_m(double surface_tension_N_per_m, double density_difference_kg_per_m3,
                          double gravity) {
  return std::sqrt(surface_tension_N_per_m / (gravity * density_difference_kg_per_m3));
}

double film_boiling_group_W_per_m2_K(const FilmBoiling& film, double length_m) {
  const double k = film.conductivity_W_per_m_K;
  const double lift = film.gravity * (film.liquid_kg_per_m3 - film.vapour_kg_per_m3);
  return std::pow(k * k * k * film.vapour_kg_per_m3 * lift * film.latent_J_per_kg /
                      (film.viscosity_Pa_s * film.superheat_K * length_m),
                  0.25);
}

double berenson_W_per_m2_K(const FilmBoiling& film, double capillary_length_m) {
  return 0.425 * film_boiling_group_W_per_m2_K(film, capillary_length_m);
}

double nitrogen_on_drink_W_per_m2(double surface_K) {
  const double superheat = surface_K - kNitrogenBoilingK;
  const Vapour film = nitrogen_vapour(0.5 * (surface_K + kNitrogenBoilingK));
  const FilmBoiling boiling{
      .conductivity_W_per_m_K = film.conductivity_W_per_m_K,
      .viscosity_Pa_s = film.viscosity_Pa_s,
      .vapour_kg_per_m3 = film.density_kg_per_m3,
      .liquid_kg_per_m3 = kLiquidNitrogenKgPerM3,
      .latent_J_per_kg = kNitrogenLatentJPerKg + 0.5 * film.heat_capacity_J_per_kg_K * superheat,
      .superheat_K = superheat};
  // The balance of the Taylor instability is taken against the film's vapour, as the flux is.
  const double length = capillary_length_m(nitrogen_surface_tension_N_per_m(kNitrogenBoilingK),
                                           kLiquidNitrogenKgPerM3 - film.density_kg_per_m3);
  return berenson_W_per_m2_K(boiling, length) * superheat;
}

double rigid_puddle_m() { return 2.0 * nitrogen_capillary_length_m(); }

double floating_lens_m(double drink_K) {
  const double water = water_density_kg_per_m3(drink_K);
  return 2.0 * std::sqrt(nitrogen_surface_tension_N_per_m(kNitrogenBoilingK) * water /
                         (kLiquidNitrogenKgPerM3 * kGravity * (water - kLiquidNitrogenKgPerM3)));
}

double boil_off_time_constant_s(double flux_W_per_m2, double layer_m) {
  return kLiquidNitrogenKgPerM3 * layer_m * kNitrogenLatentJPerKg / flux_W_per_m2;
}

double remaining_kg(double start_kg, const DecayLaw& law, double seconds) {
  if (law.exponent == 1.0) return start_kg * std::exp(-seconds / law.tau_s);
  const double power = 1.0 - law.exponent;
  const double left = std::pow(start_kg, power) - power * decay_rate(law) * seconds;
  return left > 0.0 ? std::pow(left, 1.0 / power) : 0.0;
}

double starting_kg(double left_kg, const DecayLaw& law, double seconds) {
  if (law.exponent == 1.0) return left_kg * std::exp(seconds / law.tau_s);
  const double power = 1.0 - law.exponent;
  return std::pow(std::pow(left_kg, power) + power * decay_rate(law) * seconds, 1.0 / power);
}

double remaining_kg(double start_kg, std::span<const Stretch> stretches) {
  double left = start_kg;
  for (const Stretch& stretch : stretches) left = remaining_kg(left, stretch.law, stretch.seconds);
  return left;
}

double flight_loss_share(const Drop& drop, double air_K, double seconds) {
  constexpr int kSteps = 16;
  const double start_kg =
      kLiquidNitrogenKgPerM3 * std::numbers::pi * std::pow(drop.diameter_m, 3) / 6.0;
  const double step_s = seconds / kSteps;
  double mass = start_kg;
  for (int i = 0; i < kSteps; ++i) {
    const double half =
        mass - 0.5 * step_s * drop_evaporation_kg_per_s(mass, drop.speed_m_per_s, air_K);
    if (half <= 0.0) return 1.0;
    mass -= step_s * drop_evaporation_kg_per_s(half, drop.speed_m_per_s, air_K);
    if (mass <= 0.0) return 1.0;
  }
  return 1.0 - mass / start_kg;
}

double landed_share(const LandingLosses& losses) {
  return (1.0 - losses.flash) * (1.0 - losses.flight) * (1.0 - losses.impact) *
         (1.0 - losses.missed);
}

}  // namespace rimebench::physics
