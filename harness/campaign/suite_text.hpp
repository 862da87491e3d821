#pragma once

#include <string>
#include <vector>

#include "harness/campaign/suite.hpp"

namespace rimebench {

/// What to say about a suite beside its runs.
struct SuiteView {
  std::string folder;
  bool compared{};                ///< held against a record
  std::vector<std::string> gone;  ///< recorded, but no scenario any more
  int left_out{};                 ///< long ones not run
  std::size_t columns{100};
  bool colour{};
};

/// True where every run is as it claims and, where compared, as recorded, and none is gone.
bool all_well(const std::vector<SuiteRun>& runs, const SuiteView& view);

/// A line a scenario, what is not as claimed or not as recorded and the command that repeats it,
/// and the sum of it.
std::string suite_terminal(const std::vector<SuiteRun>& runs, const SuiteView& view);
/// One JSON object, keys in a fixed order.
std::string suite_json(const std::vector<SuiteRun>& runs, const SuiteView& view);
/// One test case a scenario, in the form that build servers read.
std::string suite_junit(const std::vector<SuiteRun>& runs, const SuiteView& view);

}  // namespace rimebench
