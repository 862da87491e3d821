#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "plant_model/spec/container.hpp"
#include "plant_model/spec/line.hpp"

namespace rimebench {

/// What the dose is to bring about. Pressures are gauge.
enum class TargetKind : std::uint8_t {
  kEquilibrium,        ///< kPa at `at_c`, gas settled
  kHeadspaceOxygen,    ///< % by volume of the dry headspace gas at the seam
  kTotalOxygen,        ///< ug per kg of drink, in headspace and drink
  kDissolvedNitrogen,  ///< mg per kg of drink at `at_c`, gas settled
};

struct PlanTarget {
  TargetKind kind{TargetKind::kEquilibrium};
  double value{};
  double at_c{20.0};
  double after_days{};         ///< plastic: age at which the target holds
  double tolerance_kpa{20.0};  ///< what a pack may be off before it is discarded
  std::optional<double> headspace_oxygen_percent_max;  ///< wanted beside the pressure
  std::optional<double> total_oxygen_ppb_max;
};

/// Nozzle and head in place of a measured flow; 0: the line's own valve and jet.
struct BoreSpec {
  double bore_um{};
  double level_um{};  ///< liquid above the nozzle
  double head_kpa{};  ///< gauge pressure over the liquid
  double discharge{0.61};
};

/// What the packs will meet, and how the controller finds a container's place.
struct PlanChecks {
  double store_c{38.0};
  std::optional<double> tunnel_c;  ///< pasteuriser, 60 to 63 degrees C
  double cold_c{4.0};              ///< for the vacuum check
  double speed_min_percent{67.0};  ///< of the planned speed: slower, nothing is dosed
  PlaceSource place_source{PlaceSource::kContainersAhead};
};

struct VesselSpec {
  std::string name;
  double gross_l{};
  double boil_off_percent_per_day{};
};

struct SupplySpec {
  double bulk_l{};  ///< a bulk tank; 0: none
  double bulk_boil_off_percent_per_day{0.3};
  double usable_percent{92.0};
  double flash_percent{3.7};
  double transfer_percent{15.0};
  double head_w{30.0};
  double cold_metal_kg{8.0};  ///< hose, piping and head to be cooled at the start
  double cool_downs_per_day{1.0};
  double level_percent{50.0};  ///< for the containers left
};

struct RoomSpec {
  double volume_m3{};  ///< 0: not known
  double air_changes_per_h{};
  double mixing{1.0};
  double spill_l{230.0};
};

/// Nitrogen put into the drink before it is filled; or 0 days: not asked for.
struct NitrogenationSpec {
  double tank_kpa{};
  double tank_c{};
  double tau_days{};
  double start_mg_per_kg{};
  double wanted_mg_per_kg{};
  double depth_mm{500.0};
};

/// How a line is brought back after a stop. House figures, to be replaced by the user's own.
struct RestartSpec {
  double warm_after_min{3.0};  ///< idle longer: cool down again
  double cool_down_min{5.0};
  int test_shots{5};
};

/// A key that the file left out, with what was taken for it.
struct PlanDefault {
  std::string key;
  std::string text;
};

/// Everything that a dose plan is made from.
struct PlanSpec {
  std::string name;
  std::string title;
  ContainerSpec container;
  ProductSpec product;
  LineSpec line;
  double containers_per_min{};
  PlanTarget target;
  BoreSpec bore;
  PlanChecks checks;
  SupplySpec supply;
  RoomSpec room;
  NitrogenationSpec nitrogenation;
  RestartSpec restart;
  std::vector<PlanDefault> defaults;  ///< calibrations that nobody measured
};

}  // namespace rimebench
