#pragma once

/// The dose plan: from a target and the specs to the valve's open time of every place, and whether
/// it is safe. The inverse of what the line runs.
///   target ─> liquid at the seam ─> landed ─> at the nozzle ─> valve ─> recipe
///                 └─ every place's wait      └─ losses, capture
/// Whatever stands in its way is a note, never an exception and never NaN.

#include <optional>
#include <string>
#include <vector>

#include "firmware_sim/contract/parameter.hpp"
#include "plant_model/planner/note.hpp"
#include "plant_model/planner/pack.hpp"
#include "plant_model/planner/shot.hpp"
#include "plant_model/planner/waits.hpp"
#include "plant_model/spec/plan.hpp"

namespace rimebench {

/// One place of the group. Pressures are gauge; nothing where the pack is liquid-full.
struct PlacePlan {
  PlaceWait wait;
  Pack pack;
  Shot shot;
  std::optional<double> equilibrium_Pa;       ///< at the target's temperature
  std::optional<double> hot_prompt_Pa;        ///< at the hottest temperature checked
  std::optional<double> hot_shortest_Pa;      ///< the same if it is sealed after its shortest wait
  std::optional<double> settled_shortest_Pa;  ///< equilibrium then
};

/// Pressure of place 1 at one temperature.
struct PressureRow {
  double celsius{};
  std::string what;  ///< why this temperature is looked at
  std::optional<double> prompt_Pa;
  std::optional<double> equilibrium_Pa;
  bool checked{};  ///< held against the rating
};

/// Fill against the rating, the dose unchanged.
struct FillLimit {
  double fill_ml{};     ///< the hot check fails above this
  double deviations{};  ///< how many standard deviations of the fill that is; 0: not given
};

struct OxygenPlan {
  double headspace_percent{};
  double total_ppb{};
  double dissolved_ppb{};
  double sweep_volumes{};  ///< of headspace, boiled off before the seam
};

/// What one step of one figure is worth in equilibrium pressure.
struct Sensitivity {
  std::string key;
  std::string step;
  double pascal{};
  bool is_default{};  ///< a calibration that nobody gave
};

struct VesselPlan {
  std::string name;
  double hours{};
  double containers{};
  double containers_left{};  ///< at the level asked about
};

struct SupplyPlan {
  double dose_l_per_h{};   ///< at the nozzle
  double drawn_l_per_h{};  ///< with flash, transfer and the heat into the head
  double cool_down_l{};    ///< one first cool-down
  std::vector<VesselPlan> vessels;
};

struct RoomPlan {
  double nitrogen_m3_per_h{};
  double steady_percent{};
  double spill_percent{};        ///< the release pushes room air out
  double spill_mixed_percent{};  ///< it mixes on its way out
  double extract_m3_per_h{};     ///< keeps 19.5 %
};

struct NitrogenationPlan {
  double equilibrium_mg_per_kg{};
  std::optional<double> days;                ///< to the wanted figure; nothing if out of reach
  std::vector<double> after_days_mg_per_kg;  ///< after 1, 2, 3, 5, 7, 10, 14 days
  double diffusion_only_percent{};           ///< of the way in five days if the tank is quiet
};

/// What a pressure check or a gauge without dead volume reads of place 1, so long after the seam,
/// at the temperature of the fill.
struct AfterSeam {
  double seconds{};
  std::optional<double> moving_Pa;   ///< the drink shaken on its way: a usual rate of uptake [CAL]
  std::optional<double> resting_Pa;  ///< the pack stands: diffusion alone
  double resting_mg_per_kg{};        ///< nitrogen in the resting drink by then
};

/// What the operator does after a stop this long.
struct StopRow {
  double seconds{};
  std::optional<double> equilibrium_Pa;  ///< of place 1 that waited so much longer
  int discard_from{};                    ///< places from this one on; 0: none
  bool cool_down{};
};

struct DosePlan {
  bool solved{};  ///< a dose was found: what follows has meaning
  double hot_allowed_Pa{};
  double hottest_c{};
  NozzleView view;
  std::vector<PlacePlan> places;
  bool ramp_needed{};
  int queue_saturates_at{};  ///< place from which no wait grows; 0: beyond the group
  SpeedLimit single_shots_until;
  std::vector<PressureRow> pressures;
  std::optional<double> undosed_cold_Pa;  ///< equilibrium at the cold temperature without nitrogen
  std::optional<FillLimit> fill_limit;
  double target_nitrogen_mg_per_kg{};  ///< dissolved once settled at the target's temperature
  OxygenPlan oxygen;
  std::vector<AfterSeam> after_seam;
  std::vector<Sensitivity> sensitivities;  ///< largest first
  SupplyPlan supply;
  std::optional<RoomPlan> room;
  std::optional<NitrogenationPlan> nitrogenation;
  std::vector<StopRow> stops;
  PlanNotes notes;                     ///< refusals first
  std::optional<RecipeValues> recipe;  ///< nothing after any refusal
};

DosePlan make_plan(const PlanSpec& plan);

/// The key under which the plan file gives the target.
const char* target_key(TargetKind kind);

}  // namespace rimebench
