#pragma once

#include <cstdint>
#include <optional>

#include "firmware_sim/contract/parameter.hpp"
#include "plant_model/spec/dosing_supply.hpp"

namespace rimebench {

enum class FillerKind : std::uint8_t { kRotary, kInline };

/// A rotary filler gives one stream at `pitch_um`. An inline filler releases `heads` containers at
/// once, `head_pitch_um` apart, once per `group_pitch_um` of belt travel.
struct FillerSpec {
  FillerKind kind{};
  std::int64_t pitch_um{};
  std::int64_t pitch_sd_um{};
  int heads{1};
  std::int64_t head_pitch_um{};
  std::int64_t group_pitch_um{};
};

/// Belt travel per container released, empty places included.
constexpr double travel_per_container_um(const FillerSpec& filler) {
  if (filler.kind == FillerKind::kRotary) return static_cast<double>(filler.pitch_um);
  return static_cast<double>(filler.group_pitch_um) / filler.heads;
}

/// Along the travel, from the point where a rotary filler lets go, or from the first head of an
/// inline filler (the one nearest the seamer).
struct StationsSpec {
  std::int64_t sensor_um{};
  std::int64_t nozzle_um{};
  std::int64_t lid_um{};  ///< locked transport only
  std::int64_t
      seam_um{};  ///< locked: first seaming roll; queued: where the seamer takes containers
  std::int64_t discharge_um{};  ///< discharge sensor behind the seamer; 0: none (locked only)
  std::int64_t gate_um{};       ///< reject gate; 0: none
};

/// A single-station seamer of a queued line: it takes one container a cycle, first in, first out.
/// Times count from the taking.
struct SeamerSpec {
  std::int64_t cycle_us{};
  std::int64_t lid_us{};
  std::int64_t seam_us{};
  std::int64_t discharge_us{};  ///< when the leading edge reaches the discharge sensor
};

struct SensorSpec {
  std::int64_t on_delay_us{};
  std::int64_t off_delay_us{};
  std::int64_t jitter_sd_us{};
};

struct ValveSpec {
  std::int64_t open_delay_us{};
  std::int64_t close_delay_us{};
  std::int64_t jitter_sd_us{};
  double flow_ug_per_us{};  ///< liquid through the open valve; g/s is the same number
  double flow_sd_percent{};
  std::int64_t feedback_delay_us{};  ///< from real movement to the feedback signal; 0: not wired
};

struct NozzleSpec {
  std::int64_t height_um{};  ///< above the rim
  std::int64_t jet_diameter_um{};
  std::int64_t jet_speed_um_per_s{};
  std::int64_t lateral_um{};  ///< nozzle axis beside the line of the container centres
};

struct LossesSpec {
  double flash_percent{};
  double flight_percent{};
  double splash_percent{};
};

/// dm/dt = -(m_ref/tau) (m/m_ref)^exponent, with tau by segment [CAL].
struct BoilOffSpec {
  double tau_belt_s{};
  double tau_lid_s{};  ///< from the lid to the seam
  double exponent{1.0};
  double reference_mg{};
  double sd_percent{};
};

struct HeadspaceSpec {
  double sweep_efficiency{};  ///< eta: 1 is well mixed [CAL]
  double cold_gas_k{};        ///< temperature the gas would reach under endless boil-off [CAL]
  double gas_sd_k{};
  double air_ingress_ml_per_s{};  ///< air mixed in while the container is open [CAL]
  double lid_flush_percent{};     ///< share of the headspace that a flush under the lid replaces
};

struct GateSpec {
  std::int64_t delay_us{};          ///< from the reject command to the gate's movement
  std::int64_t confirm_delay_us{};  ///< from removal to the confirm eye's signal; 0: not wired
  std::int64_t bin_holds{};  ///< rejects after which the bin says that it is full; 0: endless
  std::int64_t bin_spare{};  ///< so many more fit in, then the gate removes none
};

struct ControlsSpec {
  std::int64_t line_pulse_pitch_um{};    ///< 0: the line has no pulse
  std::int64_t line_stop_reaction_us{};  ///< the line stops this long after losing the line permit;
                                         ///< 0: not wired
  bool lid_sensor{};                     ///< the lid present signal is wired (locked transport)
  /// Wired to what the machines do; else filler and seamer count as running from power-up on, and
  /// there is always room behind the seamer.
  bool filler_signal{};
  bool seamer_signal{};
  bool downstream_signal{};
};

/// The hardware between the controller's valve output and the valve's coil, which works without
/// the controller: the safety chain and a relay in series with the coil, a spring in the valve.
/// Once either has cut the coil off, the command must fall before it is energised again.
struct InterlockSpec {
  std::int64_t chain_us{};  ///< from the safety chain's opening to a coil without current
  std::int64_t close_us{};  ///< from there to a valve shut by its spring
  std::int64_t relay_us{};  ///< the relay cuts a coil that has been energised so long; 0: no relay
};

/// A pressure check behind the seamer, with an ejector of its own at the reject gate. It feels the
/// pressure of the gas boiled so far, nothing dissolved yet. Where it has a place of its own its
/// ejector strikes a fixed time after the reading, whatever stands at the gate by then.
struct PressureCheckSpec {
  double temperature_c{};     ///< of the containers as they pass
  double sd_kpa{};            ///< standard deviation of its reading
  double low_kpa{};           ///< softer than this: low
  double high_kpa{};          ///< harder: high
  std::int64_t misses_ppm{};  ///< share of the containers that it does not read
  std::int64_t delay_us{};    ///< from the passing to the signal; 0: not wired to the controller
  bool ejects{};              ///< it takes out what it finds
  std::int64_t at_um{};       ///< along the travel; 0: just before the gate, nothing between them
  std::int64_t strikes_after_us{};  ///< from the container's passing to the ejector's stroke
  std::int64_t strikes_for_us{};    ///< the stroke takes out whatever passes the gate within this
};

/// The machine between the last fill head and the reject gate.
struct LineSpec {
  Transport transport{};
  FillerSpec filler;
  StationsSpec stations;
  SeamerSpec seamer;
  SensorSpec sensor;
  ValveSpec valve;
  NozzleSpec nozzle;
  LossesSpec losses;
  BoilOffSpec boil_off;
  HeadspaceSpec headspace;
  GateSpec gate;
  ControlsSpec controls;
  std::optional<InterlockSpec> interlock;  ///< none: the command alone moves the valve
  std::optional<PressureCheckSpec> pressure_check;
  std::optional<DosingSupplySpec> supply;  ///< none: liquid of constant pressure without end
  std::optional<RoomAirSpec> room;         ///< none: its oxygen is not measured
};

}  // namespace rimebench
