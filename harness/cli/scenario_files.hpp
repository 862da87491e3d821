#pragma once

#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "harness/config/load.hpp"

namespace rimebench {

/// Loads them all; prints every mistake of every file and returns nothing if there is one.
std::optional<std::vector<Scenario>> load_scenarios(const std::vector<std::string>& files,
                                                    const ScenarioOverrides& overrides,
                                                    std::ostream& err);

}  // namespace rimebench
