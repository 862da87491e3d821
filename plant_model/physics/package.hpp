#pragma once

#include <optional>

#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/headspace.hpp"

/// The sealed package: what is shut in, and the gauge pressure it comes to.
///
///   1. properties_at(container, temperature): once a scenario, holds every exp, log and pow
///   2. seal(properties at the fill, feed, seam): once a container
///   3. prompt_gauge_Pa, equilibrium_gauge_Pa (sealed, properties): a few Newton steps each
///
/// The two pressures must not be confused: prompt (all nitrogen boiled, none dissolved beyond what
/// the drink brought along) and equilibrium (Henry's law has settled). Gas with one second virial
/// coefficient, Henry, Dalton. Left out: the fugacity coefficient (0.9993 at 3 bar) and the
/// Poynting term (0.4 % of the dissolved part).
namespace rimebench::physics {

/// The empty closed container.
struct Container {
  double brimful_m3;            ///< volume at `reference_K`, zero gauge
  double reference_K;           ///< 293.15 for a volume stated at 20 degrees C
  double compliance_m3_per_Pa;  ///< growth under pressure [CAL]; 0 for glass
  double expansion_per_K;       ///< of the volume: three times the linear one
};

/// What a drink brings along.
struct Feed {
  double n2_kg_per_kg;
  double o2_kg_per_kg;
  double co2_volumes;  ///< litres of CO2 at 0 degrees C and 1 atm per litre of drink
};

/// The moment of the seam.
struct Seam {
  double drink_kg;
  HeadspaceGas gas;
  double liquid_n2_kg;  ///< nitrogen still liquid as the lid closes
};

/// One gas in the closed package.
struct Moles {
  double gas;
  double dissolved;

  double total() const { return gas + dissolved; }
};

/// What is shut in. Nitrogen counts the argon of the air, and as gas the liquid that has yet to
/// boil.
struct Sealed {
  double drink_kg;
  Moles n2;
  Moles o2;
  Moles co2;
};

/// Everything that depends on temperature, container and ambient only.
struct AtTemperature {
  double temperature_K;
  double ambient_Pa;
  double container_m3;  ///< at zero gauge
  double compliance_m3_per_Pa;
  double drink_m3_per_kg;  ///< at zero gauge
  double water_vapour_Pa;
  double virial_m3_per_mol;
  double n2_mol_per_kg_Pa;  ///< gas taken up by a kilogram of drink under 1 Pa of it
  double o2_mol_per_kg_Pa;
  double co2_mol_per_kg_Pa;
};

AtTemperature properties_at(const Container& container, double temperature_K,
                            double ambient_Pa = kAtmospherePa);

/// A plastic wall goes on giving way: volume times 1 + per_e_fold ln(1 + t / start_s) [CAL].
struct Creep {
  double per_e_fold;
  double start_s;
};

/// The container as it is `seconds` after the seam.
Container crept(const Container& container, const Creep& creep, double seconds);

/// Share of the gas that a drink with this much dissolved in it takes up, against pure water:
/// 10^(-K c), K in L/mol (sugar and salt drive gas out) and c in mol/L.
double salting_out_share(double setschenow_L_per_mol, double mol_per_L);

/// Headspace in m3 at zero gauge; zero or negative if the drink does not fit.
double headspace_m3(double drink_kg, const AtTemperature& at);

/// Headspace in m3 under a gauge pressure: the wall has given way and the drink is compressed.
double headspace_under_pressure_m3(double drink_kg, const AtTemperature& at, double gauge_Pa);

/// What a lid closing on this container shuts in. `at_fill` is at the temperature of the drink.
/// Nothing if the drink fills the container to the brim.
std::optional<Sealed> seal(const AtTemperature& at_fill, const Feed& feed, const Seam& seam);

/// Gauge pressure in Pa when a share `uptake` of the way from prompt (0) to equilibrium (1) is
/// gone: every partial pressure is that far between its two ends. Nothing if the package is
/// liquid-full: no balance below 5 MPa, which is eight times what a can stands.
std::optional<double> gauge_after_uptake_Pa(const Sealed& sealed, const AtTemperature& at,
                                            double uptake);

/// Gauge pressure with all nitrogen boiled and nothing more dissolved than at the fill.
std::optional<double> prompt_gauge_Pa(const Sealed& sealed, const AtTemperature& at);

/// Gauge pressure once the gases have divided between headspace and drink.
std::optional<double> equilibrium_gauge_Pa(const Sealed& sealed, const AtTemperature& at);

/// Liquid nitrogen in kg to add to `sealed` so that it reaches `target_gauge_Pa` after `uptake`.
/// Explicit. Negative if the package exceeds the target without a dose; nothing if it is
/// liquid-full there.
std::optional<double> liquid_n2_kg_for(const Sealed& sealed, const AtTemperature& at,
                                       double target_gauge_Pa, double uptake);

/// What of `sealed` is gas while `liquid_kg` of its nitrogen has yet to boil. A package just seamed
/// reads low and rising.
Sealed not_yet_boiled(const Sealed& sealed, double liquid_kg);

/// The same contents divided between gas and drink after `uptake`, at the pressure it came to.
Sealed divided(const Sealed& sealed, const AtTemperature& at, double gauge_Pa, double uptake);

/// Liquid over gas capacity for nitrogen, L/G, at a pressure; it speeds up the uptake.
double nitrogen_capacity_ratio(const Sealed& sealed, const AtTemperature& at, double gauge_Pa);

/// Share of the uptake done after `seconds` of first-order exchange at `rate_per_s` [CAL] (about
/// 1/600 while the package is moved) with that capacity ratio.
double uptake_share(double rate_per_s, double capacity_ratio, double seconds);

/// Rate in 1/s of slow diffusion into a quiet drink of `depth_m`, the lower bound of the above.
double diffusion_rate_per_s(double diffusivity_m2_per_s, double depth_m);

/// Short-time share of the capacity of a quiet drink that diffusion has filled; good up to 0.4.
double diffusion_uptake_share(double diffusivity_m2_per_s, double depth_m, double seconds);

/// A cylindrical wall under pressure.
struct Wall {
  double radius_m;
  double thickness_m;
  double young_Pa;
  double poisson;
};

/// Growth of the enclosed volume, dV/V, of a thin closed cylinder (Roark). The ends come on top:
/// a whole can gives about twice as much and must be measured.
double wall_volume_strain(const Wall& wall, double gauge_Pa);

}  // namespace rimebench::physics
