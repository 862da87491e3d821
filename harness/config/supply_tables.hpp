#pragma once

/// The keys of supply and room that are numbers, beside the struct member each fills.

#include <array>

#include "harness/config/rows.hpp"
#include "harness/config/tables.hpp"
#include "plant_model/spec/dosing_supply.hpp"
#include "plant_model/spec/line.hpp"

namespace rimebench {

// clang-format off
inline constexpr auto kSupplyRows = std::to_array<Row<DosingSupplySpec>>({
    {"vessel_l", &DosingSupplySpec::vessel_l, "l", 0, 100'000, kMustBeGiven, "liquid in the vessel at the start"},
    {"vessel_kpa", &DosingSupplySpec::vessel_kpa, "kPa", 0, 150, kMustBeGiven, "gauge pressure in the vessel: the more, the more flashes as the liquid is let out"},
    {"transfer_percent", &DosingSupplySpec::transfer_percent, "%", 0, 99, kMustBeGiven, "of what leaves the vessel, lost in hose and valves"},
    {"refill_g_per_s", &DosingSupplySpec::refill_g_per_s, "g/s", 0.1, 10'000, kMustBeGiven, "into the dosing head while it refills"},
    {"head_mm2", &DosingSupplySpec::head_mm2, "mm2", 100, 1'000'000, kMustBeGiven, "cross-section of the bath above the nozzle"},
    {"full_um", &DosingSupplySpec::full_um, "um", 1'000, 5'000'000, kMustBeGiven, "level above the nozzle at which refilling ends; valve.flow_ug_per_us holds half way to refill_um"},
    {"refill_um", &DosingSupplySpec::refill_um, "um", 0, 5'000'000, kMustBeGiven, "level at which refilling begins"},
    {"start_um", &DosingSupplySpec::start_um, "um", 0, 5'000'000, kMustBeGiven, "level at the start"},
    {"head_pa", &DosingSupplySpec::head_pa, "Pa", 0, 200'000, 0, "gauge pressure over the bath; 0: vented"},
    {"head_w", &DosingSupplySpec::head_w, "W", 0, 10'000, kMustBeGiven, "heat into the bath"},
    {"body_start_k", &DosingSupplySpec::body_start_k, "K", 77, 320, kMustBeGiven, "temperature of the dosing body at the start"},
    {"body_idle_k", &DosingSupplySpec::body_idle_k, "K", 77, 320, kMustBeGiven, "where it ends when nothing flows under a standing bath; under an empty one it goes to 20 C"},
    {"body_cold_k", &DosingSupplySpec::body_cold_k, "K", 77, 320, 85, "up to here it adds no vapour to a shot"},
    {"body_warm_s", &DosingSupplySpec::body_warm_s, "s", 1, 100'000, kMustBeGiven, "time constant of the body at rest"},
    {"body_cool_s", &DosingSupplySpec::body_cool_s, "s", 0.01, 10'000, kMustBeGiven, "time constant of the body while liquid flows"},
    {"body_w_per_k", &DosingSupplySpec::body_w_per_k, "W/K", 0, 100, kMustBeGiven, "heat from the warm body into the passing liquid"},
    {"hose_vapour_percent", &DosingSupplySpec::hose_vapour_percent, "%", 0, 50, 0, "vapour in the liquid just after a vessel change, by mass"},
    {"hose_settle_s", &DosingSupplySpec::hose_settle_s, "s", 1, 100'000, 60, "time constant in which that passes"},
    {"sample_us", &DosingSupplySpec::sample_us, "us", 0, kMinuteUs, 1'000'000, "period of the samples of level, pressure and body temperature; 0: not wired"},
    {"sample_delay_us", &DosingSupplySpec::sample_delay_us, "us", 1, kMinuteUs, 10'000, "from the measurement to the controller"},
    {"level_step_um", &DosingSupplySpec::level_step_um, "um", 1, 1'000'000, 1'000, "a level is sent once it has moved by this"},
    {"pressure_step_pa", &DosingSupplySpec::pressure_step_pa, "Pa", 1, 1'000'000, 100, "the same of the pressure over the bath"},
    {"body_step_mk", &DosingSupplySpec::body_step_mk, "mK", 1, 1'000'000, 500, "the same of the dosing body's temperature"},
    {"ready_um", &DosingSupplySpec::ready_um, "um", 0, 5'000'000, 0, "supply ready is up from this level on; 0: always up"},
});

inline constexpr auto kRoomRows = std::to_array<Row<RoomAirSpec>>({
    {"volume_m3", &RoomAirSpec::volume_m3, "m3", 1, 1'000'000, kMustBeGiven, "volume of the room"},
    {"air_changes_per_h", &RoomAirSpec::air_changes_per_h, "1/h", 0.01, 1'000, kMustBeGiven, "fresh air, in volumes of the room"},
    {"mixing", &RoomAirSpec::mixing, "1", 0.1, 1, 1, "share of that air that reaches the sensor's corner"},
    {"sensor_s", &RoomAirSpec::sensor_s, "s", 0, 1'000, 15, "time constant of the oxygen sensor"},
    {"sample_us", &RoomAirSpec::sample_us, "us", 1, kMinuteUs, 1'000'000, "period of the samples"},
    {"sample_delay_us", &RoomAirSpec::sample_delay_us, "us", 1, kMinuteUs, 10'000, "from the measurement to the controller"},
    {"oxygen_step_ppm", &RoomAirSpec::oxygen_step_ppm, "ppm", 1, 1'000'000, 200, "a sample is sent once it has moved by this"},
});

inline constexpr auto kPressureCheckRows = std::to_array<Row<PressureCheckSpec>>({
    {"temperature_c", &PressureCheckSpec::temperature_c, "C", 0, 80, kMustBeGiven, "of the containers as they pass it"},
    {"sd_kpa", &PressureCheckSpec::sd_kpa, "kPa", 0, 1'000, kMustBeGiven, "standard deviation of its reading"},
    {"low_kpa", &PressureCheckSpec::low_kpa, "kPa", -101, 10'000, kMustBeGiven, "softer than this it calls low: gas boiled so far, nothing dissolved yet"},
    {"high_kpa", &PressureCheckSpec::high_kpa, "kPa", -101, 10'000, kMustBeGiven, "harder than this it calls high"},
    {"misses_ppm", &PressureCheckSpec::misses_ppm, "ppm", 0, 1'000'000, 0, "share of the containers that it does not read"},
    {"delay_us", &PressureCheckSpec::delay_us, "us", 0, 10'000'000, 0, "from the passing to pressure_low or pressure_high; 0: not wired to the controller"},
    {"at_um", &PressureCheckSpec::at_um, "um", 0, 50'000'000, 0, "its place along the travel, behind seam and discharge sensor and before the gate; 0: at the gate itself"},
    {"strikes_after_us", &PressureCheckSpec::strikes_after_us, "us", 0, 600'000'000, 0, "with at_um: from the passing of what it finds to the middle of its ejector's stroke at the gate"},
    {"strikes_for_us", &PressureCheckSpec::strikes_for_us, "us", 0, 10'000'000, 0, "with at_um: the stroke takes out whatever passes the gate within this"},
    {"ejects", &PressureCheckSpec::ejects, "", 0, 1, 1, "it takes out what it finds, with an ejector of its own"},
});

inline constexpr auto kVesselChangeRows = std::to_array<Row<VesselChange>>({
    {"at_us", &VesselChange::at, "us", 1, kWeekUs, kMustBeGiven, "the vessel is taken off"},
    {"for_us", &VesselChange::lasts, "us", 1, kWeekUs, kMustBeGiven, "until the next one is on"},
    {"vessel_l", &VesselChange::vessel_l, "l", 0, 100'000, kMustBeGiven, "liquid in it"},
});

inline constexpr auto kRefillBlockedRows = std::to_array<Row<RefillBlocked>>({
    {"at_us", &RefillBlocked::at, "us", 1, kWeekUs, kMustBeGiven, "nothing flows into the dosing head from here"},
    {"for_us", &RefillBlocked::lasts, "us", 1, kWeekUs, kMustBeGiven, "so long"},
});

inline constexpr auto kHeadPressureRows = std::to_array<Row<HeadPressure>>({
    {"at_us", &HeadPressure::at, "us", 1, kWeekUs, kMustBeGiven, "the pressure over the bath begins to change"},
    {"for_us", &HeadPressure::lasts, "us", 1, kWeekUs, kMustBeGiven, "until it has reached its new value"},
    {"head_pa", &HeadPressure::head_pa, "Pa", 0, 200'000, kMustBeGiven, "gauge pressure then"},
});

inline constexpr auto kHoseLeakRows = std::to_array<Row<HoseLeak>>({
    {"at_us", &HoseLeak::at, "us", 1, kWeekUs, kMustBeGiven, "liquid runs out of the hose into the room, behind the isolation valve"},
    {"for_us", &HoseLeak::lasts, "us", 1, kWeekUs, kMustBeGiven, "so long"},
    {"g_per_s", &HoseLeak::g_per_s, "g/s", 0.01, 10'000, kMustBeGiven, "so much"},
});

inline constexpr PlainKey kVesselChangesKey{"vessel_changes", "a list of {at_us, for_us, vessel_l}", "none", "vessel changes, in time order, not overlapping; needs line.supply, as do the next three"};
inline constexpr PlainKey kRefillBlockedKey{"refill_blocked", "a list of {at_us, for_us}", "none", "the dosing head is not refilled"};
inline constexpr PlainKey kHeadPressureKey{"head_pressure", "a list of {at_us, for_us, head_pa}", "none", "the pressure over the bath changes"};
inline constexpr PlainKey kHoseLeaksKey{"hose_leaks", "a list of {at_us, for_us, g_per_s}", "none", "leaks of the hose"};
// clang-format on

}  // namespace rimebench
