#pragma once

#include <optional>
#include <string>

#include "harness/judge/verdict.hpp"

namespace rimebench {

/// Why a paced run proves nothing; nothing where every input was in time.
std::optional<std::string> late_reason(const PacedFigures& paced);

/// How late the bench, the link and the node were, a few lines for people.
std::string paced_text(const PacedFigures& paced);

}  // namespace rimebench
