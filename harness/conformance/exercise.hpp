#pragma once

#include <cstdint>

#include "firmware_sim/contract/parameter.hpp"
#include "harness/conformance/probe.hpp"

namespace rimebench {

/// A recipe that every controller must accept: each value in its range and in order.
RecipeValues sound_recipe();

/// The recipe staged and committed at this instant: only the slots that are not 0 already.
Changes recipe_changes(Instant at, const RecipeValues& values);

/// How it begins: interlocks, the recipe, reset and start.
Changes power_on_changes();

/// How long the exercise takes.
inline constexpr Instant kExerciseEnd{6'000'000};

/// A few seconds of a line as a controller might meet it: interlocks, the recipe, reset and start,
/// belt and containers, a stop, chatter, every sampled input. What a controller makes of it is its
/// own affair; that it is always the same is not.
Changes exercise();

/// The answers on recipe_state among these.
std::vector<std::int32_t> recipe_answers(const Changes& outputs);

}  // namespace rimebench
