#pragma once

#include <string>

#include "harness/judge/verdict.hpp"

namespace rimebench {

const char* to_text(Outcome outcome);

/// The verdict as one JSON object, keys in a fixed order, ending in a newline. The same verdict
/// gives the same bytes, so a stored trace can be judged again years later and compared.
std::string to_json(const Scenario& scenario, const Verdict& verdict);

}  // namespace rimebench
