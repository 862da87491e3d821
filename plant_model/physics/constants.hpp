#pragma once

/// Constants shared by the physics room, in SI units.
/// The values of the molar gas constant, the molar masses, the psi and the composition of air are
/// recalled from their standards (CODATA 2018, IUPAC, US Standard Atmosphere 1976); the tests
/// compare them with a second list.
namespace rimebench::physics {

inline constexpr double kGasConstant = 8.314462618;         // J/(mol K)
inline constexpr double kGravity = 9.80665;                 // m/s2
inline constexpr double kAtmospherePa = 101325.0;           // Pa, the default ambient
inline constexpr double kPascalPerPsi = 6894.757293168;     // Pa
inline constexpr double kZeroCelsiusK = 273.15;             // K
inline constexpr double kOxygenInDryAir = 0.20946;          // mol/mol
inline constexpr double kNitrogenInDryAir = 0.78084;        // mol/mol
inline constexpr double kArgonInDryAir = 0.00934;           // mol/mol
inline constexpr double kWaterMolarKg = 0.01801528;         // kg/mol
inline constexpr double kNitrogenMolarKg = 0.0280134;       // kg/mol
inline constexpr double kOxygenMolarKg = 0.0319988;         // kg/mol
inline constexpr double kCarbonDioxideMolarKg = 0.0440095;  // kg/mol
inline constexpr double kArgonMolarKg = 0.039948;           // kg/mol

/// One "volume" of carbon dioxide as mass in a m3 of drink: a m3 of the gas at 0 degrees C and 1
/// atm.
inline constexpr double kCarbonDioxideVolumeKgPerM3 = 1.977;

/// Liquid nitrogen at its normal boiling point (Span et al. 2000).
inline constexpr double kNitrogenBoilingK = 77.35499;       // K
inline constexpr double kLiquidNitrogenKgPerM3 = 806.0845;  // kg/m3
inline constexpr double kNitrogenVapourKgPerM3 = 4.612137;  // kg/m3, saturated
inline constexpr double kNitrogenLatentJPerKg = 199176.1;   // J/kg

}  // namespace rimebench::physics
