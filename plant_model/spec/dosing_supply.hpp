#pragma once

#include <cstdint>
#include <vector>

#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Vessel, hose and dosing head of a line. The head is a small bath above the nozzle: liquid falls
/// out of the hose into it until it is full, and again once it has fallen to the refill mark.
struct DosingSupplySpec {
  double vessel_l{};          ///< liquid in the vessel at the start
  double vessel_kpa{};        ///< gauge pressure there: what flashes as the liquid is let out
  double transfer_percent{};  ///< of what leaves the vessel, lost in hose and valves
  double refill_g_per_s{};    ///< into the head while it refills
  double head_mm2{};          ///< cross-section of the bath
  std::int64_t full_um{};     ///< level above the nozzle at which refilling ends
  std::int64_t refill_um{};   ///< level at which it begins
  std::int64_t start_um{};    ///< level at the start
  std::int64_t head_pa{};     ///< gauge pressure over the bath
  double head_w{};            ///< heat into the bath

  double body_start_k{};         ///< temperature of the dosing body at the start
  double body_idle_k{};          ///< where it ends when nothing flows under a standing bath
  double body_cold_k{};          ///< up to here it adds no vapour to a shot
  double body_warm_s{};          ///< time constant at rest
  double body_cool_s{};          ///< time constant while liquid flows
  double body_w_per_k{};         ///< heat from the body into the passing liquid [CAL]
  double hose_vapour_percent{};  ///< vapour in the liquid just after a vessel change, by mass [CAL]
  double hose_settle_s{};        ///< time constant in which that passes [CAL]

  std::int64_t sample_us{};         ///< period of the samples; 0: not wired
  std::int64_t sample_delay_us{};   ///< from the measurement to the controller
  std::int64_t level_step_um{};     ///< a sample is sent once it has moved by so much
  std::int64_t pressure_step_pa{};  ///< the same of the pressure
  std::int64_t body_step_mk{};      ///< and of the body's temperature
  std::int64_t ready_um{};          ///< supply ready is up from this level on; 0: always
};

/// The room that the line stands in: air comes in, nitrogen too, the mixture goes.
struct RoomAirSpec {
  double volume_m3{};
  double air_changes_per_h{};
  double mixing{};                 ///< share of that air that reaches the sensor's corner
  double sensor_s{};               ///< time constant of the oxygen sensor
  std::int64_t sample_us{};        ///< period of the samples
  std::int64_t sample_delay_us{};  ///< from the measurement to the controller
  std::int64_t oxygen_step_ppm{};  ///< a sample is sent once it has moved by so much
};

/// The vessel is taken off and another put on: nothing flows in, then a warm hose.
struct VesselChange {
  Instant at;
  Duration lasts;
  double vessel_l{};
};

/// The inflow is blocked: ice in the strainer, a valve left shut.
struct RefillBlocked {
  Instant at;
  Duration lasts;
};

/// The pressure over the bath goes straight from what it was to `head_pa` within `lasts`.
struct HeadPressure {
  Instant at;
  Duration lasts;
  std::int64_t head_pa{};
};

/// Liquid runs out of the hose into the room, behind the isolation valve.
struct HoseLeak {
  Instant at;
  Duration lasts;
  double g_per_s{};
};

/// What goes wrong or changes at the supply; each list in time order, not overlapping.
struct SupplyHappenings {
  std::vector<VesselChange> vessel_changes;
  std::vector<RefillBlocked> refill_blocked;
  std::vector<HeadPressure> head_pressure;
  std::vector<HoseLeak> hose_leaks;
};

}  // namespace rimebench
