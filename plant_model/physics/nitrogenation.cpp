#include "plant_model/physics/nitrogenation.hpp"

#include <cmath>
#include <numbers>

#include "plant_model/physics/package.hpp"

namespace rimebench::physics {

namespace {

constexpr double kNitrogenDiffusivity25 = 2.0e-9;  // m2/s
constexpr double k25Celsius = 298.15;              // K
constexpr int kTermsMax = 200;
constexpr double kTermIsNothing = 1e-10;
/// Below this the layer is as good as endless, and the series would need many terms.
constexpr double kEarly = 0.05;

}  // namespace

double dissolved_after(const Dissolving& drink, double seconds) {
  return drink.equilibrium -
         (drink.equilibrium - drink.start) * std::exp(-seconds / drink.time_constant_s);
}

std::optional<double> seconds_until(const Dissolving& drink, double wanted) {
  const double left = (drink.equilibrium - wanted) / (drink.equilibrium - drink.start);
  if (!(left > 0.0)) return std::nullopt;
  if (left >= 1.0) return 0.0;
  return -drink.time_constant_s * std::log(left);
}

std::optional<double> time_constant_s(double start, double equilibrium, double wanted,
                                      double seconds) {
  const double left = (equilibrium - wanted) / (equilibrium - start);
  if (!(left > 0.0 && left < 1.0)) return std::nullopt;
  return -seconds / std::log(left);
}

double diffusion_share(double diffusivity_m2_per_s, double depth_m, double seconds) {
  const double rate = std::numbers::pi * std::numbers::pi * diffusivity_m2_per_s * seconds /
                      (4.0 * depth_m * depth_m);
  if (rate < kEarly) return diffusion_uptake_share(diffusivity_m2_per_s, depth_m, seconds);
  double sum = 0.0;
  for (int n = 0; n < kTermsMax; ++n) {
    const double odd = 2.0 * n + 1.0;
    const double term = std::exp(-odd * odd * rate) / (odd * odd);
    sum += term;
    if (term < kTermIsNothing) break;
  }
  return 1.0 - 8.0 / (std::numbers::pi * std::numbers::pi) * sum;
}

double water_viscosity_Pa_s(double temperature_K) {
  // ln(mu) = a + b / (T - c)
  constexpr double kA = -10.290217;
  constexpr double kB = 463.363357;
  constexpr double kC = 156.224745;
  return std::exp(kA + kB / (temperature_K - kC));
}

double nitrogen_in_water_m2_per_s(double temperature_K) {
  return kNitrogenDiffusivity25 * temperature_K / k25Celsius * water_viscosity_Pa_s(k25Celsius) /
         water_viscosity_Pa_s(temperature_K);
}

}  // namespace rimebench::physics
