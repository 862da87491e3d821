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
  spec.container = {374.0, 4.0, 69.3, 50'000, 60'000, 620.0, 1.3};
  spec.product = {355.0, 0.0, 4.0, 0.5, 3.0, 0.0, 15'000};
  LineSpec& line = spec.line;
  line.transport = Transport::kLocked;
  line.filler = {.kind = FillerKind::kRotary, .pitch_um = 100'000};
  line.stations = {300'000, 500'000, 900'000, 1'000'000, 1'400'000, 2'000'000};
  line.sensor = {500, 700, 0};
  line.valve = {.open_delay_us = 8'000, .close_delay_us = 6'000, .flow_ug_per_us = 3.5};
  line.nozzle = {20'000, 1'600, 2'210'000, 0};
  line.losses = {1.0, 2.0, 3.0};
  line.boil_off = {8.0, 4.0, 1.0, 75.0, 0.0};
  line.headspace = {1.0, 210.0, 0.0, 0.5, 0.0};
  line.gate = {20'000, 0};
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
