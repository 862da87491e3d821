#pragma once

#include <string>
#include <vector>

#include "harness/audit/paired_runs.hpp"
#include "harness/judge/verdict.hpp"
#include "harness/report/document.hpp"

namespace rimebench {

/// One scenario under one recipe.
struct RecipeRun {
  std::string recipe;  ///< its file
  Scenario scenario;
  Verdict verdict;
  PairedComparison against_first;  ///< empty for the first
};

/// Pass if it passes under one of them, else what the first came to.
Outcome outcome_of(const std::vector<RecipeRun>& runs);

/// The report of one scenario under several recipes, the first of which is the reference.
Document compare_dossier(const std::vector<RecipeRun>& runs, const std::string& repeat);

}  // namespace rimebench
