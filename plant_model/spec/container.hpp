#pragma once

#include <cstdint>

namespace rimebench {

/// An empty container, as its supplier describes it.
struct ContainerSpec {
  double brimful_ml{};             ///< brimful volume at 20 C, no pressure
  double compliance_ml_per_mpa{};  ///< growth of the closed container under pressure [CAL]
  double expansion_ppm_per_k{};    ///< thermal growth of the volume (3 alpha)
  std::int64_t opening_um{};       ///< inner diameter of the opening
  std::int64_t body_um{};          ///< outer diameter: what the sensor sees, and the touching pitch
  double rating_kpa{};             ///< the supplier's pressure rating, gauge
  double rating_safety_factor{};   ///< the hot pressure must stay under rating / factor
  double insert_ml{};              ///< outer volume of an insert that stays in the container
  double insert_gas_ml{};          ///< of it, gas that shares the headspace's pressure in the end
  double insert_oxygen_percent{};  ///< of that gas, before the fill
  double creep_percent{};          ///< plastic: growth per e-fold of time [CAL]
  double creep_start_h{1.0};       ///< plastic: time from which the growth counts [CAL]
  double
      deformation_kpa{};  ///< plastic: its shape gives way at the store's temperature; 0: no limit
};

/// What is filled in.
struct ProductSpec {
  bool dry{};  ///< powder, beans: no water, nothing dissolves; fill_ml is the grains' own volume
  double fill_ml{};
  double fill_sd_ml{};
  double fill_temperature_c{};  ///< at most 45: warmer fills are not modelled
  double dissolved_oxygen_mg_per_kg{};
  double dissolved_nitrogen_mg_per_kg{};
  double carbonation_volumes{};      ///< above kFoamingVolumes pressures are indicative only
  double solubility_percent{100.0};  ///< gas it takes up, of what pure water would [CAL]
  double dry_density_kg_per_l{1.4};  ///< dry goods: mass over the volume of the grains themselves
  std::int64_t rim_to_drink_um{};    ///< from the rim down to the surface of the drink
};

/// From this carbonation on a dose makes the drink foam: a trial is required, never a pass.
inline constexpr double kFoamingVolumes = 1.2;
inline bool foams(const ProductSpec& product) {
  return !product.dry && product.carbonation_volumes >= kFoamingVolumes;
}

}  // namespace rimebench
