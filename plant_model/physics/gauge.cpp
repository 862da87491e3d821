#include "plant_model/physics/gauge.hpp"

#include <algorithm>
#include <cmath>

namespace rimebench::physics {
namespace {

constexpr double kHighestAbsolutePa = 5.0e6;
constexpr int kStepsMax = 200;
constexpr double kRelativeTolerance = 1.0e-12;

/// Moles of dry gas in the headspace, enlarged by `extra_m3`, at a gauge pressure; negative where
/// there is no headspace.
double dry_moles(double drink_kg, const AtTemperature& at, double gauge_Pa, double extra_m3) {
  const double absolute = at.ambient_Pa + gauge_Pa;
  const double energy = kGasConstant * at.temperature_K + at.virial_m3_per_mol * absolute;
  const double volume = headspace_under_pressure_m3(drink_kg, at, gauge_Pa) + extra_m3;
  return (absolute - at.water_vapour_Pa) * volume / energy;
}

double room_air_moles(const AtTemperature& at, double dead_m3) {
  const double energy = kGasConstant * at.temperature_K + at.virial_m3_per_mol * at.ambient_Pa;
  return at.ambient_Pa * dead_m3 / energy;
}

/// The gauge pressure at which a headspace enlarged by `extra_m3` holds `moles`. The moles rise
/// with the pressure, so halving finds it.
std::optional<double> pressure_of(double drink_kg, const AtTemperature& at, double moles,
                                  double extra_m3) {
  double low = at.water_vapour_Pa - at.ambient_Pa;
  double high = kHighestAbsolutePa - at.ambient_Pa;
  if (dry_moles(drink_kg, at, high, extra_m3) < moles) return std::nullopt;
  for (int step = 0; step < kStepsMax; ++step) {
    const double middle = 0.5 * (low + high);
    (dry_moles(drink_kg, at, middle, extra_m3) < moles ? low : high) = middle;
    if (high - low <= kRelativeTolerance * at.ambient_Pa) break;
  }
  return 0.5 * (low + high);
}

}  // namespace

std::optional<double> gauge_reading_Pa(double drink_kg, const AtTemperature& at, double dead_m3,
                                       double gauge_Pa) {
  if (!(headspace_under_pressure_m3(drink_kg, at, gauge_Pa) > 0.0)) return std::nullopt;
  const double moles = dry_moles(drink_kg, at, gauge_Pa, 0.0) + room_air_moles(at, dead_m3);
  return pressure_of(drink_kg, at, moles, dead_m3);
}

std::optional<double> gauge_before_piercing_Pa(double drink_kg, const AtTemperature& at,
                                               double dead_m3, double reading_Pa) {
  if (!(headspace_under_pressure_m3(drink_kg, at, reading_Pa) > 0.0)) return std::nullopt;
  const double moles = dry_moles(drink_kg, at, reading_Pa, dead_m3) - room_air_moles(at, dead_m3);
  if (!(moles > 0.0)) return std::nullopt;
  return pressure_of(drink_kg, at, moles, 0.0);
}

}  // namespace rimebench::physics
