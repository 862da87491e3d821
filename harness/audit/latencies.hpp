#pragma once

/// What the wires tell of the latencies of valve and sensor, and what they cannot.

#include <cstdint>
#include <optional>
#include <vector>

#include "harness/audit/belt_track.hpp"
#include "harness/audit/captured_line.hpp"
#include "harness/audit/robust.hpp"
#include "harness/audit/sightings.hpp"
#include "plant_model/spec/line.hpp"

namespace rimebench {

/// From the command to what the valve did.
struct ValveLatency {
  Channel wire{};               ///< that tells of the valve: its feedback, or its real movement
  std::int64_t taken_off_us{};  ///< the feedback's own delay, by the line's file
  std::int64_t no_answer{};     ///< shots that the wire does not follow
  Measured open_us;
  Measured close_us;
};

/// Nothing where no wire tells of the valve.
std::optional<ValveLatency> fit_valve_latency(const CapturedLine& line, const LineSpec& spec);

/// Containers come off the filler at one pitch along the belt. A sensor that answers late sees each
/// the further down the belt the faster it runs, so speed tells its latency and the pitch:
///   edge position = start + pitch * number + latency * speed
/// What delays pulses and sensor alike does not show.
struct SensorLatency {
  std::int64_t containers{};
  std::int64_t outliers{};
  double residual_um{};  ///< standard deviation of one container about the fit
  Estimate latency_us;
  Estimate pulse_pitch_um;  ///< belt travel a pulse, if the filler's pitch is as its file says
};

/// Nothing with fewer than ten containers, or where the speed hardly varies or only with the
/// number: then latency and start, or latency and pitch, are one.
std::optional<SensorLatency> fit_sensor_latency(const std::vector<SeenContainer>& containers,
                                                const LineSpec& spec, double recipe_pitch_um);

}  // namespace rimebench
