#pragma once

/// The record of a suite: what every scenario of a folder came to when somebody last accepted it.
/// YAML, one map a scenario, in name order; FOLDER/suite.record.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "harness/campaign/figures.hpp"
#include "harness/config/diagnostic.hpp"

namespace rimebench {

using SuiteRecord = std::map<std::string, RunFigures>;  ///< by the scenario's name

std::string to_text(const SuiteRecord& record);

/// Every mistake goes to `diagnostics`; nothing if there is one.
std::optional<SuiteRecord> parse_record(const std::string& text, const std::string& file,
                                        Diagnostics& diagnostics);

/// What changed from `before` to `now`, one line each in the practitioner's words; empty if
/// nothing did.
std::vector<std::string> changes_between(const RunFigures& before, const RunFigures& now);

}  // namespace rimebench
