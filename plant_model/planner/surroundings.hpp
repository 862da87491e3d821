#pragma once

/// What stands around the dose: supply, room, nitrogenation, stops.

#include <array>

#include "plant_model/planner/plan.hpp"

namespace rimebench {

/// Supply and room, from the doses found.
void plan_supply_and_room(const PlanSpec& spec, DosePlan& plan);

/// Nitrogen put into the drink before the fill, where the plan asks for it.
void plan_nitrogenation(const PlanSpec& spec, DosePlan& plan);

/// The operator's table of stops.
void plan_stops(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan);

/// Days for which a tank's nitrogen is shown.
inline constexpr auto kNitrogenationDays =
    std::to_array<double>({1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 14.0});

/// Oxygen below which a room is oxygen-deficient, % (29 CFR 1910.134 and 1910.146); local codes
/// decide.
inline constexpr double kOxygenAlarmPercent = 19.5;
/// People leave a room below this (common practice).
inline constexpr double kOxygenLeavePercent = 18.0;

}  // namespace rimebench
