#pragma once

#include <span>
#include <string>
#include <vector>

#include "plant_model/planner/decay_fit.hpp"
#include "plant_model/planner/valve_fit.hpp"

namespace rimebench {

/// Where the figures came from.
struct FitContext {
  std::string file;
  double confidence_percent{};
  std::vector<int> lines;  ///< of each row
};

/// True if repeats say that the weighings do not lie on a line.
bool is_bent(const ValveFit& fit);

std::string to_terminal(const ValveFit& fit, std::span<const Weighing> weighings,
                        const FitContext& context);
std::string to_terminal(const DecayFit& fit, std::span<const BalanceReading> readings,
                        const FitContext& context);

/// The same as keys of a recipe: the open curve over the range weighed, or the wait curve.
std::string recipe_fragment(const ValveFit& fit, const FitContext& context);
std::string recipe_fragment(const DecayFit& fit, const FitContext& context);

}  // namespace rimebench
