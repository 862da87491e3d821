#pragma once

#include <span>

#include "plant_model/physics/constants.hpp"

namespace rimebench::physics {

/// Factor on the Berenson flux for nitrogen on a drink [CAL], accepted from 0.9 to 1.6.
inline constexpr double kDefaultFluxFactor = 1.2;

/// What a film-boiling correlation takes. Vapour properties at the mean film temperature and at the
/// pressure of the room: superheated, not saturated.
struct FilmBoiling {
  double conductivity_W_per_m_K;
  double viscosity_Pa_s;
  double vapour_kg_per_m3;
  double liquid_kg_per_m3;
  double latent_J_per_kg;  ///< with the vapour's superheat added, as the correlation asks
  double superheat_K;
  double gravity = kGravity;
};

/// sqrt(sigma / (g (rho_liquid - rho_vapour))) in m.
double capillary_length_m(double surface_tension_N_per_m, double density_difference_kg_per_m3,
                          double gravity = kGravity);

/// The group [k^3 rho_v g (rho_l - rho_v) h' / (mu dT length)]^(1/4) in W/(m2 K) that film-boiling
/// correlations share; times 0.425 with the capillary length it is Berenson's, times 0.62 with a
/// cylinder's diameter Bromley's.
double film_boiling_group_W_per_m2_K(const FilmBoiling& film, double length_m);

/// Heat transfer coefficient of film boiling on a flat surface facing up, W/(m2 K).
/// Berenson, J. Heat Transfer 83 (1961) 351.
double berenson_W_per_m2_K(const FilmBoiling& film, double capillary_length_m);

/// Heat flux in W/m2 into nitrogen boiling on a drink of this surface temperature, after Berenson.
/// Divide by the latent heat alone for the boil-off.
double nitrogen_on_drink_W_per_m2(double surface_K);

/// Thickness in m of a wide nitrogen puddle on a rigid surface, twice the capillary length (Biance,
/// Clanet, Quere 2003).
double rigid_puddle_m();

/// Thickness in m of a wide calm lens of nitrogen floating on water, its vapour film carrying it:
/// an upper bound, as impact and boiling spread it thinner.
double floating_lens_m(double drink_K);

/// Time constant in s of the decay of a layer of constant thickness (3.3).
double boil_off_time_constant_s(double flux_W_per_m2, double layer_m);

/// dm/dt = -K m^p, with K such that a mass of `reference_kg` starts to decay like exp(-t/tau).
/// p is 1 for a puddle (the reference does not matter), 2/3 for drops below about 90 mg, 0 for a
/// fixed wetted area.
struct DecayLaw {
  double tau_s;
  double exponent;
  double reference_kg;
};

/// Liquid left of `start_kg` after `seconds`; zero once it has all gone.
double remaining_kg(double start_kg, const DecayLaw& law, double seconds);

/// Liquid that must start for `left_kg`, above zero, to be left after `seconds`.
double starting_kg(double left_kg, const DecayLaw& law, double seconds);

/// A stretch of the way to the seam (belt, star wheel, lid, seamer), each with its own decay.
struct Stretch {
  DecayLaw law;
  double seconds;
};

double remaining_kg(double start_kg, std::span<const Stretch> stretches);

/// A drop of liquid nitrogen in flight through still air.
struct Drop {
  double diameter_m;
  double speed_m_per_s;
};

/// Share of the drop that evaporates in `seconds`. Ranz-Marshall with Spalding's blowing
/// correction.
double flight_loss_share(const Drop& drop, double air_K, double seconds);

/// What is lost on the way from the nozzle onto the drink, each a share of what is left before it.
struct LandingLosses {
  double flash;
  double flight;
  double impact;
  double missed;  ///< one minus the captured share
};

/// Share of the nozzle's mass that lies on the drink as liquid (3.1).
double landed_share(const LandingLosses& losses);

}  // namespace rimebench::physics
