#pragma once

#include <string>

#include "firmware_sim/contract/parameter.hpp"

namespace rimebench {

/// A recipe as the YAML that reads back as the same values, every key in the table's order.
std::string recipe_text(const RecipeValues& recipe);

}  // namespace rimebench
