#pragma once

/// The parts of a scenario file, one function each. All report to the section's Reading; what could
/// not be read keeps its initial value.

#include "harness/config/scenario.hpp"
#include "harness/config/section.hpp"

namespace rimebench {

void read_line(Section& scenario, LineSpec& line);
/// The sections of the line that may be absent: pressure check, supply and room.
void read_supply(Section& line, LineSpec& spec);
void read_supply_happenings(Section& happens, bool has_supply, SupplyHappenings& supply);
void read_controls(Section& line, LineSpec& spec);
/// The valve, the gate and the controller itself out of order.
void read_troubles(Section& happens, const LineSpec& line, Happenings& into);
void read_recipe(Section& scenario, RecipeValues& recipe);
/// What the operator may load later, under `happens`.
void read_second_recipe(Section& happens, std::optional<RecipeValues>& recipe);
/// The keys of disturbance_tables.hpp.
void read_disturbances(Section& happens, Happenings& spec);
/// Needs plant.line.
void read_happens(Section& scenario, PlantSpec& plant);
/// Needs scenario.plant.container, for the default of the hot pressure.
void read_expect(Section& root, Scenario& scenario);
void read_approvals(Section& root, std::vector<Approval>& approvals);
/// `logs`: whether the speed may be named as a log file.
void read_speed(Section& scenario, SpeedProfile& speed, bool logs);

/// What single keys cannot show: whether they fit each other.
void check_scenario(Reading& reading, const Scenario& scenario);
void check_disturbances(Reading& reading, const PlantSpec& plant);

}  // namespace rimebench
