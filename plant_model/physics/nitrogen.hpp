#pragma once

namespace rimebench::physics {

/// Nitrogen on its saturation line.
struct Saturation {
  double pressure_Pa;
  double liquid_kg_per_m3;
  double vapour_kg_per_m3;
  double latent_J_per_kg;
};

/// Nitrogen gas at one atmosphere.
struct Vapour {
  double density_kg_per_m3;
  double viscosity_Pa_s;
  double conductivity_W_per_m_K;
  double heat_capacity_J_per_kg_K;
};

/// Saturation line from 65 K to 100 K, interpolated in a table of the reference equation (Span,
/// Lemmon, Jacobsen, Wagner, Yokozeki, J. Phys. Chem. Ref. Data 29 (2000) 1361) within 1e-4.
/// Outside, the end of the table is returned.
Saturation nitrogen_saturation(double temperature_K);

/// Boiling temperature in K under `pressure_Pa`, 17.4 kPa to 778 kPa: the same table read the other
/// way.
double nitrogen_saturation_K(double pressure_Pa);

/// Gas at one atmosphere from 100 K to 293 K, interpolated in a table (Span et al. 2000; transport
/// properties after Lemmon and Jacobsen, Int. J. Thermophys. 25 (2004) 21) within 2e-4. This is
/// superheated vapour: the density of saturated vapour at the same temperature would be many times
/// higher and double a film-boiling coefficient.
Vapour nitrogen_vapour(double temperature_K);

/// Surface tension of liquid nitrogen in N/m. Mulero, Cachadina, Parra, J. Phys. Chem. Ref. Data 41
/// (2012) 043105.
double nitrogen_surface_tension_N_per_m(double temperature_K);

/// Second virial coefficient in m3/mol (CRC Handbook polynomial). The reference equation lies about
/// 1e-6 below it near 298 K, which is 1.2e-4 of the pressure at 3 bar.
double nitrogen_second_virial_m3_per_mol(double temperature_K);

/// Compressibility factor of the gas, Z = 1 + B P / (R T). Good to 2e-4 up to 4 bar, 6e-4 at 10
/// bar.
double nitrogen_compressibility(double pressure_Pa, double temperature_K);

/// Gas density in kg/m3 with that factor.
double nitrogen_gas_kg_per_m3(double pressure_Pa, double temperature_K);

/// Share of the mass that flashes to vapour when liquid saturated at `gauge_Pa` above one
/// atmosphere expands to it without heat. From 0 to 1.5 bar gauge, interpolated in a table computed
/// from the reference equation; beyond, the end of the table. Uses + - x / only, so it may set an
/// event time.
double nitrogen_flash_share(double gauge_Pa);

}  // namespace rimebench::physics
