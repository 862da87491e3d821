#pragma once

namespace rimebench::physics {

/// The gas between the drink and where the lid will be.
struct HeadspaceGas {
  double air_fraction;  ///< share of the original air still there, 1 just after the fill
  double gas_K;         ///< mean temperature; the drink's just after the fill
  double co2_fraction;  ///< share of the dry gas that is carbon dioxide from a flush
};

/// What the boil-off meets while the container is open; constant for one container.
struct OpenHeadspace {
  double volume_m3;         ///< headspace at the fill
  double cold_gas_K;        ///< temperature a headspace swept many times would reach [CAL]
  double sweep_efficiency;  ///< 1 well mixed, above 1 a cold piston, below 1 a short circuit [CAL]
  double air_ingress_m3_per_s;  ///< room air drawn in while open [CAL]
  double ambient_Pa;
};

/// Headspace volumes swept when `evaporated_kg` of nitrogen boils, each at the gas temperature of
/// its moment. The gas cools as dT/dN = -(T - T_cold), so that after N volumes from the start
/// T = T_start - (T_start - T_cold)(1 - exp(-N)); with dN proportional to T dm this has a closed
/// form, and stretches of waiting may be cut anywhere.
double sweep_volumes(const HeadspaceGas& start, const OpenHeadspace& open, double evaporated_kg);

/// The gas after a stretch of `seconds` in which `evaporated_kg` boils evenly: sweep-through
/// dilution (form of NFPA 69) against an ingress of room air. Without ingress it is exact for any
/// course of the boil-off.
HeadspaceGas swept(const HeadspaceGas& start, const OpenHeadspace& open, double evaporated_kg,
                   double seconds);

/// Gas blown under the lid as it is placed.
struct LidFlush {
  double share;         ///< share of the headspace volume replaced, 0 to 1 [CAL]
  double gas_K;         ///< temperature of the gas blown in [CAL]
  bool carbon_dioxide;  ///< else nitrogen
};

/// The gas after the flush. Temperatures mix so that the moles of both parts add up.
HeadspaceGas flushed(const HeadspaceGas& before, const LidFlush& flush);

}  // namespace rimebench::physics
