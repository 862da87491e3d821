#pragma once

#include <span>
#include <string>
#include <vector>

#include "harness/config/scenario.hpp"
#include "plant_model/planner/trim_recipe.hpp"

namespace rimebench {

/// What a trim was made from.
struct TrimReport {
  const Scenario& scenario;
  std::span<const PackReading> readings;
  std::span<const int> lines;  ///< of the readings in their file
  const TrimFit& fit;
  const TrimProposal& proposal;
  TrimGoal goal;
};

/// Constants, packs, places, packs still wanted and refusals, for the terminal.
std::string trim_text(const TrimReport& report);

/// A sheet to fill in and sign for the next round of packs.
std::string sampling_sheet(const TrimReport& report);

/// Drinks that foam: the pressures are indicative.
bool trial_required(const Scenario& scenario);

}  // namespace rimebench
