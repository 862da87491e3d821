#pragma once

namespace rimebench::physics {

/// Saturation pressure of water in Pa, 273.15 K to 647 K. IAPWS-IF97 region 4, equation 30.
double water_saturation_Pa(double temperature_K);

/// Temperature in K at which water boils under `pressure_Pa`, 611 Pa to 22 MPa. IAPWS-IF97 region
/// 4, equation 31.
double water_saturation_K(double pressure_Pa);

/// Saturation pressure in Pa after Wagner and Pruss (IAPWS G7-04, equation 4). Henry's constants
/// were fitted with this form, so they use it; it agrees with IF97 within 1e-4 between 0 and 63
/// degrees C.
double water_saturation_wagner_Pa(double temperature_K);

/// Density of pure water in kg/m3 at one atmosphere, 0 to 150 degrees C. Kell, J. Chem. Eng. Data
/// 20 (1975) 97.
double water_density_kg_per_m3(double temperature_K);

}  // namespace rimebench::physics
