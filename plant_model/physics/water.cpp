#include "plant_model/physics/water.hpp"

#include <cmath>

#include "plant_model/physics/constants.hpp"

namespace rimebench::physics {
namespace {

constexpr double kCriticalK = 647.096;
constexpr double kCriticalPa = 22.064e6;

// IAPWS R7-97(2012), Table 34.
constexpr double kN1 = 0.11670521452767e4;
constexpr double kN2 = -0.72421316703206e6;
constexpr double kN3 = -0.17073846940092e2;
constexpr double kN4 = 0.12020824702470e5;
constexpr double kN5 = -0.32325550322333e7;
constexpr double kN6 = 0.14915108613530e2;
constexpr double kN7 = -0.48232657361591e4;
constexpr double kN8 = 0.40511340542057e6;
constexpr double kN9 = -0.23855557567849;
constexpr double kN10 = 0.65017534844798e3;

}  // namespace

double water_saturation_Pa(double temperature_K) {
  const double theta = temperature_K + kN9 / (temperature_K - kN10);
  const double a = (theta + kN1) * theta + kN2;
  const double b = (kN3 * theta + kN4) * theta + kN5;
  const double c = (kN6 * theta + kN7) * theta + kN8;
  const double root = 2.0 * c / (-b + std::sqrt(b * b - 4.0 * a * c));
  return 1.0e6 * (root * root) * (root * root);
}

double water_saturation_K(double pressure_Pa) {
  const double beta = std::sqrt(std::sqrt(pressure_Pa * 1.0e-6));
  const double e = (beta + kN3) * beta + kN6;
  const double f = (kN1 * beta + kN4) * beta + kN7;
  const double g = (kN2 * beta + kN5) * beta + kN8;
  const double d = 2.0 * g / (-f - std::sqrt(f * f - 4.0 * e * g));
  const double sum = kN10 + d;
  return 0.5 * (sum - std::sqrt(sum * sum - 4.0 * (kN9 + kN10 * d)));
}

double water_saturation_wagner_Pa(double temperature_K) {
  const double reduced = temperature_K / kCriticalK;
  const double tau = 1.0 - reduced;
  const double half = std::sqrt(tau);
  const double cube = tau * tau * tau;
  const double sum = -7.85951783 * tau + 1.84408259 * tau * half - 11.7866497 * cube +
                     22.6807411 * cube * half - 15.9618719 * cube * tau +
                     1.80122502 * cube * cube * tau * half;
  return kCriticalPa * std::exp(sum / reduced);
}

double water_density_kg_per_m3(double temperature_K) {
  const double t = temperature_K - kZeroCelsiusK;
  const double numerator =
      999.83952 +
      t * (16.945176 +
           t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))));
  // Much public code has 16.89785e-3 here, with two digits swapped: 0.27 kg/m3 wrong at 20 degrees
  // C.
  return numerator / (1.0 + 16.879850e-3 * t);
}

}  // namespace rimebench::physics
