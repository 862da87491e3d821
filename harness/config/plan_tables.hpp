#pragma once

/// The keys that only a plan file has.

#include <array>

#include "harness/config/rows.hpp"
#include "plant_model/spec/plan.hpp"

namespace rimebench {

/// The four kinds of target: the file gives one of them.
struct TargetKey {
  TargetKind kind;
  NumberKey key;
};

// clang-format off
inline constexpr auto kPlanRows = std::to_array<Row<PlanSpec>>({
    {"containers_per_min", &PlanSpec::containers_per_min, "1/min", 0.1, 6'000, kMustBeGiven, "planned line speed"},
});

inline constexpr auto kTargetKeys = std::to_array<TargetKey>({
    {TargetKind::kEquilibrium, {"equilibrium_kpa", NumberKind::kReal, "kPa", -100, 5'000, kMayBeAbsent, "gauge pressure at at_c, gas settled"}},
    {TargetKind::kHeadspaceOxygen, {"headspace_oxygen_percent", NumberKind::kReal, "%", 0.001, 21, kMayBeAbsent, "oxygen in the dry headspace gas at the seam"}},
    {TargetKind::kTotalOxygen, {"total_package_oxygen_ppb", NumberKind::kReal, "ppb", 0.1, 1e6, kMayBeAbsent, "oxygen in headspace and drink, ug per kg of drink"}},
    {TargetKind::kDissolvedNitrogen, {"dissolved_nitrogen_mg_per_kg", NumberKind::kReal, "mg/kg", 0.1, 1'000, kMayBeAbsent, "nitrogen in the drink at at_c, gas settled"}},
});

inline constexpr auto kTargetRows = std::to_array<Row<PlanTarget>>({
    {"at_c", &PlanTarget::at_c, "C", 0, 80, 20, "temperature at which the target holds"},
    {"after_days", &PlanTarget::after_days, "d", 0, 3'650, 0, "plastic: age at which the target holds"},
    {"tolerance_kpa", &PlanTarget::tolerance_kpa, "kPa", 0.1, 1'000, 20, "what a pack may lose before it is discarded"},
    {"headspace_oxygen_percent_max", &PlanTarget::headspace_oxygen_percent_max, "%", 0, 21, kMayBeAbsent, "wanted beside the target: most oxygen in the headspace"},
    {"total_oxygen_ppb_max", &PlanTarget::total_oxygen_ppb_max, "ppb", 0, 1e6, kMayBeAbsent, "wanted beside the target: most oxygen in the whole package"},
});

inline constexpr auto kBoreRows = std::to_array<Row<BoreSpec>>({
    {"bore_um", &BoreSpec::bore_um, "um", 100, 20'000, kMustBeGiven, "nozzle bore, in place of line.valve.flow_ug_per_us and the jet"},
    {"level_um", &BoreSpec::level_um, "um", 0, 5'000'000, kMustBeGiven, "liquid above the nozzle"},
    {"head_kpa", &BoreSpec::head_kpa, "kPa", 0, 1'000, 0, "gauge pressure over the liquid; 0: vented"},
    {"discharge", &BoreSpec::discharge, "1", 0.1, 1, 0.61, "discharge coefficient, to be measured"},
});

inline constexpr auto kCheckRows = std::to_array<Row<PlanChecks>>({
    {"store_c", &PlanChecks::store_c, "C", 0, 80, 38, "hottest store"},
    {"tunnel_c", &PlanChecks::tunnel_c, "C", 0, 90, kMayBeAbsent, "tunnel pasteuriser, 60 to 63; absent: none"},
    {"cold_c", &PlanChecks::cold_c, "C", 0, 40, 4, "coldest store, for the vacuum check"},
    {"speed_min_percent", &PlanChecks::speed_min_percent, "%", 5, 100, 67, "below this share of the planned speed nothing is dosed"},
});
inline constexpr PlainKey kPlacesByKey{"place_source", "containers_ahead, head_number", "containers_ahead", "how the controller finds a container's place in its group"};

inline constexpr auto kPlanSupplyRows = std::to_array<Row<SupplySpec>>({
    {"bulk_l", &SupplySpec::bulk_l, "l", 0, 1e6, 0, "a bulk tank; 0: none"},
    {"bulk_boil_off_percent_per_day", &SupplySpec::bulk_boil_off_percent_per_day, "%", 0, 10, 0.3, "of its volume a day"},
    {"usable_percent", &SupplySpec::usable_percent, "%", 1, 100, 92, "of a vessel's volume"},
    {"flash_percent", &SupplySpec::flash_percent, "%", 0, 50, 3.7, "lost as the pressure falls between vessel and head: 3.7 from 0.5 bar"},
    {"transfer_percent", &SupplySpec::transfer_percent, "%", 0, 90, 15, "lost in the hose and on the way"},
    {"head_w", &SupplySpec::head_w, "W", 0, 1'000, 30, "heat into the dosing head"},
    {"cold_metal_kg", &SupplySpec::cold_metal_kg, "kg", 0, 1'000, 8, "hose, piping and head to be cooled from room temperature"},
    {"cool_downs_per_day", &SupplySpec::cool_downs_per_day, "1/d", 0, 100, 1, "how often"},
    {"level_percent", &SupplySpec::level_percent, "%", 0, 100, 50, "level for which the containers left are shown"},
});

inline constexpr auto kPlanRoomRows = std::to_array<Row<RoomSpec>>({
    {"volume_m3", &RoomSpec::volume_m3, "m3", 1, 1e6, kMustBeGiven, "free volume"},
    {"air_changes_per_h", &RoomSpec::air_changes_per_h, "1/h", 0, 100, kMustBeGiven, "extract ventilation"},
    {"mixing", &RoomSpec::mixing, "1", 0.1, 1, 1, "1: well mixed; 0.2 to 1 in practice"},
    {"spill_l", &RoomSpec::spill_l, "l", 0, 1e5, 230, "the largest vessel that may empty into the room"},
});

inline constexpr auto kNitrogenationRows = std::to_array<Row<NitrogenationSpec>>({
    {"tank_kpa", &NitrogenationSpec::tank_kpa, "kPa", 0, 5'000, kMustBeGiven, "gauge pressure of nitrogen over the drink"},
    {"tank_c", &NitrogenationSpec::tank_c, "C", 0, 45, kMustBeGiven, "temperature of the drink"},
    {"tau_days", &NitrogenationSpec::tau_days, "d", 0.001, 1'000, kMustBeGiven, "time constant of the uptake, to be measured"},
    {"start_mg_per_kg", &NitrogenationSpec::start_mg_per_kg, "mg/kg", 0, 500, kMustBeGiven, "nitrogen in the drink before"},
    {"wanted_mg_per_kg", &NitrogenationSpec::wanted_mg_per_kg, "mg/kg", 0.1, 500, kMustBeGiven, "nitrogen wanted"},
    {"depth_mm", &NitrogenationSpec::depth_mm, "mm", 1, 100'000, 500, "depth of the drink, for what diffusion alone would do"},
});

inline constexpr auto kRestartRows = std::to_array<Row<RestartSpec>>({
    {"warm_after_min", &RestartSpec::warm_after_min, "min", 0.1, 1'000, 3, "idle for longer: cool down again"},
    {"cool_down_min", &RestartSpec::cool_down_min, "min", 0, 1'000, 5, "how long"},
    {"test_shots", &RestartSpec::test_shots, "1", 0, 1'000, 5, "test shots before the line runs"},
});
// clang-format on

}  // namespace rimebench
