#pragma once

#include "firmware_sim/contract/parameter.hpp"
#include "tests/properties/drive.hpp"

namespace rimebench::properties {

/// Any accepted recipe: every value anywhere in its range, its ends and 0 more often, curves in
/// order.
RecipeValues any_recipe();

/// A recipe of a small line that doses, a few of its values moved anywhere in their range.
RecipeValues running_recipe();

/// Stages every slot that differs from what was staged before and commits, all at one instant.
void stage(Changes& changes, Instant at, const RecipeValues& before, const RecipeValues& values);

}  // namespace rimebench::properties
