#pragma once

/// The next recipe from a trim's constants, what it is expected to give, and whether it may run.

#include <optional>
#include <string>
#include <vector>

#include "plant_model/planner/trim_fit.hpp"

namespace rimebench {

/// What is asked of a trim.
struct TrimGoal {
  double target_Pa{};  ///< equilibrium, gauge, at the judge's temperature
  double within_Pa{};  ///< how surely: the mean of each place is known to this
  double confidence{};
};

/// One place under the recipe in use and under the next one.
struct TrimPlace {
  int place{};
  double wait_s{};
  double shortest_wait_s{};
  double dose_ug{};  ///< next, at the nozzle
  double open_us{};  ///< next
  double open_us_in_use{};
  Estimate in_use_Pa;        ///< mean equilibrium of the recipe in use
  double next_half_Pa{};     ///< half the interval of the next one's mean
  double hot_prompt_Pa{};    ///< next, at its expected wait
  double shortest_hot_Pa{};  ///< next, prompt and hot, after the shortest wait it can have
};

struct TrimProposal {
  RecipeValues recipe;
  std::vector<TrimPlace> places;
  Estimate ramp_percent;  ///< dose of the last place over the first, less one: what is needed
  double ramp_in_use_percent{};
  int more_packs{};                   ///< for the certainty asked for; 0: enough; -1: over 1000
  std::vector<std::string> refusals;  ///< why this recipe must not run; empty if it may
};

/// Makes the next recipe: the open curve corrected by the valve's bias, a wait curve from the
/// fitted boil-off, and the dose that brings every place to the target.
TrimProposal propose_trim(const PlantSpec& spec, const TrimFit& fit, const TrimGoal& goal);

}  // namespace rimebench
