#include "plant_model/physics/nitrogen.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/monotone_cubic.hpp"

namespace rimebench::physics {
namespace {

// The saturation line. Pressure is kept as its logarithm against -1/T, where it is almost a
// straight line.
using SaturationColumn = std::array<double, 13>;
constexpr SaturationColumn kSatK{65, 70, 75, 77, 78, 80, 82, 84, 86, 88, 90, 95, 100};
constexpr SaturationColumn kSatPa{17404.4,  38544.77, 76042.66, 97152.27, 109255.2,
                                  136871.8, 169467.7, 207574.2, 251735.9, 302508.6,
                                  360458.0, 540523.5, 778275.0};
constexpr SaturationColumn kSatLiquid{859.5971, 838.5147, 816.672,  807.6938, 803.1482,
                                      793.9371, 784.556,  774.9909, 765.2261, 755.2438,
                                      745.0233, 718.2628, 689.3526};
constexpr SaturationColumn kSatVapour{0.9130812, 1.895995, 3.540447, 4.436693, 4.944244,
                                      6.089394,  7.4237,   8.967232, 10.74161, 12.77031,
                                      15.07906,  22.27189, 31.96117};
constexpr SaturationColumn kSatLatent{213565.4, 208068.7, 202147.4, 199632.3, 198339.1,
                                      195675.6, 192901.4, 190006.7, 186980.6, 183811.6,
                                      180487.0, 171399.2, 160975.5};

// Gas at one atmosphere. Density is kept as density times temperature, which hardly varies.
using GasColumn = std::array<double, 11>;
constexpr GasColumn kGasK{100, 125, 150, 175, 177.2525, 185.25, 200, 225, 250, 277.15, 293.15};
constexpr GasColumn kGasDensity{3.48311, 2.75937, 2.2893,  1.95768, 1.93251, 1.84818,
                                1.71066, 1.51931, 1.36664, 1.23228, 1.16483};
constexpr GasColumn kGasViscosity{6.95879e-6, 8.55849e-6, 10.0803e-6, 11.529e-6,
                                  11.6562e-6, 12.1033e-6, 12.911e-6,  14.2326e-6,
                                  15.4996e-6, 16.8198e-6, 17.5729e-6};
constexpr GasColumn kGasConductivity{0.00938205, 0.0117379, 0.014005,  0.016184,
                                     0.0163761,  0.0170531, 0.0182802, 0.0203004,
                                     0.0222511,  0.0242982, 0.0254727};
constexpr GasColumn kGasHeat{1071.8, 1055.15, 1048.56, 1045.31, 1045.11, 1044.45,
                             1043.5, 1042.41, 1041.75, 1041.39, 1041.34};

template <class Column>
Column logarithms(Column column) {
  std::transform(column.begin(), column.end(), column.begin(),
                 [](double v) { return std::log(v); });
  return column;
}

template <class Column>
Column negative_inverses(Column column) {
  std::transform(column.begin(), column.end(), column.begin(), [](double v) { return -1.0 / v; });
  return column;
}

template <class Column>
Column products(Column left, const Column& right) {
  std::transform(left.begin(), left.end(), right.begin(), left.begin(),
                 [](double a, double b) { return a * b; });
  return left;
}

const SaturationColumn kSatInverse = negative_inverses(kSatK);
const SaturationColumn kSatLogPa = logarithms(kSatPa);
const SaturationColumn kSatLogVapour = logarithms(kSatVapour);
const GasColumn kGasDensityK = products(kGasDensity, kGasK);

// Share that flashes when saturated liquid is let out to one atmosphere, against gauge pressure;
// computed from the reference equation.
constexpr std::array<double, 6> kFlashPa{0.0, 10e3, 20e3, 50e3, 100e3, 150e3};
constexpr std::array<double, 6> kFlashShare{0.0, 0.0083189, 0.016104, 0.036947, 0.065849, 0.090027};

}  // namespace

Saturation nitrogen_saturation(double temperature_K) {
  const double inverse = -1.0 / temperature_K;
  return {std::exp(monotone_cubic(kSatInverse, kSatLogPa, inverse)),
          monotone_cubic(kSatK, kSatLiquid, temperature_K),
          std::exp(monotone_cubic(kSatInverse, kSatLogVapour, inverse)),
          monotone_cubic(kSatK, kSatLatent, temperature_K)};
}

double nitrogen_saturation_K(double pressure_Pa) {
  return -1.0 / monotone_cubic(kSatLogPa, kSatInverse, std::log(pressure_Pa));
}

Vapour nitrogen_vapour(double temperature_K) {
  const double inside_K = std::clamp(temperature_K, kGasK.front(), kGasK.back());
  return {monotone_cubic(kGasK, kGasDensityK, inside_K) / inside_K,
          monotone_cubic(kGasK, kGasViscosity, inside_K),
          monotone_cubic(kGasK, kGasConductivity, inside_K),
          monotone_cubic(kGasK, kGasHeat, inside_K)};
}

double nitrogen_surface_tension_N_per_m(double temperature_K) {
  return 0.02898 * std::pow(1.0 - temperature_K / 126.192, 1.246);
}

double nitrogen_second_virial_m3_per_mol(double temperature_K) {
  const double u = 298.15 / temperature_K - 1.0;
  return (-4.0 - 56.0 * u - 12.0 * u * u) * 1.0e-6;
}

double nitrogen_compressibility(double pressure_Pa, double temperature_K) {
  return 1.0 + nitrogen_second_virial_m3_per_mol(temperature_K) * pressure_Pa /
                   (kGasConstant * temperature_K);
}

double nitrogen_gas_kg_per_m3(double pressure_Pa, double temperature_K) {
  return pressure_Pa * kNitrogenMolarKg /
         (nitrogen_compressibility(pressure_Pa, temperature_K) * kGasConstant * temperature_K);
}

double nitrogen_flash_share(double gauge_Pa) {
  return monotone_cubic(kFlashPa, kFlashShare, gauge_Pa);
}

}  // namespace rimebench::physics
