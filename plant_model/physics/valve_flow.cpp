#include "plant_model/physics/valve_flow.hpp"

#include <cmath>
#include <numbers>

#include "plant_model/physics/constants.hpp"

namespace rimebench::physics {

double driving_Pa(double head_gauge_Pa, double level_m) {
  return head_gauge_Pa + kLiquidNitrogenKgPerM3 * kGravity * level_m;
}

double jet_speed_m_per_s(double driving_Pa) {
  return std::sqrt(2.0 * driving_Pa / kLiquidNitrogenKgPerM3);
}

double nozzle_flow_kg_per_s(double discharge, double bore_m, double driving_Pa) {
  const double area_m2 = 0.25 * std::numbers::pi * bore_m * bore_m;
  return discharge * area_m2 * std::sqrt(2.0 * kLiquidNitrogenKgPerM3 * driving_Pa);
}

double two_phase_factor(double vapour_mass_share) {
  const double swelling =
      vapour_mass_share * (kLiquidNitrogenKgPerM3 / kNitrogenVapourKgPerM3 - 1.0);
  return 1.0 / std::sqrt(1.0 + swelling);
}

double full_flow_s(double command_s, const ValveTiming& timing) {
  const double lifted_s = command_s - timing.open_delay_s + timing.close_delay_s;
  if (command_s <= 0.0 || lifted_s <= 0.0) return 0.0;
  if (lifted_s >= timing.stroke_s) return lifted_s;
  // The lift turns back after lifted_s: a triangle of that height and twice that width.
  return lifted_s * lifted_s / timing.stroke_s;
}

double command_for_s(double full_flow_s, const ValveTiming& timing) {
  if (full_flow_s <= 0.0) return 0.0;
  const double lifted_s =
      full_flow_s >= timing.stroke_s ? full_flow_s : std::sqrt(full_flow_s * timing.stroke_s);
  return lifted_s + timing.open_delay_s - timing.close_delay_s;
}

double shortest_linear_command_s(const ValveTiming& timing, double jitter_s) {
  return timing.open_delay_s + timing.stroke_s + 3.0 * jitter_s;
}

double dose_scatter(double relative_time, double relative_pressure, double gas) {
  const double pressure = 0.5 * relative_pressure;
  return std::sqrt(relative_time * relative_time + pressure * pressure + gas * gas);
}

}  // namespace rimebench::physics
