#pragma once

#include <utility>
#include <vector>

#include "plant_model/spec/plant.hpp"
#include "tests/support/recorded_run.hpp"
#include "tests/support/scripted_node.hpp"

/// A line whose figures can be worked out in the head: 600 containers a minute, 100 mm apart, so
/// that the belt does 1 m/s, a micrometre a microsecond, and nothing scatters.
///   The line starts at 100 ms and ramps for a second, 500 mm long. From 1.1 s on its travel is the
///   time less 600 ms.
namespace rimebench::test {

inline constexpr std::int64_t kTravelLag = 600'000;

/// When the belt has gone `travel_um`, 500 mm or more.
constexpr Instant at_travel(std::int64_t travel_um) { return Instant{travel_um + kTravelLag}; }

/// When container `number` is `um` along the line; from the fifth on.
constexpr Instant passes(std::int64_t number, std::int64_t um) {
  return at_travel(number * 100'000 + um);
}

inline PlantSpec metre_line() {
  PlantSpec spec;
  spec.feed = 5_s;
  spec.container = {.brimful_ml = 374.0,
                    .compliance_ml_per_mpa = 4.0,
                    .expansion_ppm_per_k = 69.3,
                    .opening_um = 50'000,
                    .body_um = 60'000,
                    .rating_kpa = 620.0,
                    .rating_safety_factor = 1.3};
  spec.product = {.fill_ml = 355.0,
                  .fill_temperature_c = 4.0,
                  .dissolved_oxygen_mg_per_kg = 0.5,
                  .dissolved_nitrogen_mg_per_kg = 3.0,
                  .rim_to_drink_um = 15'000};
  LineSpec& line = spec.line;
  line.transport = Transport::kLocked;
  line.filler = {.kind = FillerKind::kRotary, .pitch_um = 100'000};
  line.stations = {.sensor_um = 300'000,
                   .nozzle_um = 500'000,
                   .lid_um = 900'000,
                   .seam_um = 1'000'000,
                   .discharge_um = 1'400'000,
                   .gate_um = 2'000'000};
  line.sensor = {.on_delay_us = 500, .off_delay_us = 700};
  line.valve = {.open_delay_us = 8'000, .close_delay_us = 6'000, .flow_ug_per_us = 3.5};
  line.nozzle = {.height_um = 20'000, .jet_diameter_um = 1'600, .jet_speed_um_per_s = 2'210'000};
  line.losses = {.flash_percent = 1.0, .flight_percent = 2.0, .splash_percent = 3.0};
  line.boil_off = {.tau_belt_s = 8.0, .tau_lid_s = 4.0, .exponent = 1.0, .reference_mg = 75.0};
  line.headspace = {.sweep_efficiency = 1.0, .cold_gas_k = 210.0, .air_ingress_ml_per_s = 0.5};
  line.gate = {.delay_us = 20'000};
  spec.speed = {{Instant{0}, 600.0}};
  return spec;
}

/// The line with a queue before a seamer that takes one container in 90 ms, no longer locked.
inline PlantSpec metre_line_queued() {
  PlantSpec spec = metre_line();
  spec.line.transport = Transport::kQueued;
  spec.line.stations.lid_um = 0;
  spec.line.seamer = {90'000, 20'000, 50'000, 80'000};
  return spec;
}

inline SignalChange valve(std::int64_t at_us, bool open) {
  return {Instant{at_us}, Channel::kValve, open ? 1 : 0};
}

/// The line played against written-down outputs.
inline RecordedRun play(const PlantSpec& spec, std::vector<SignalChange> outputs) {
  ScriptedNode node(std::move(outputs));
  return record(spec, node);
}

}  // namespace rimebench::test
