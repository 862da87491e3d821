#pragma once

/// Wires that flicker as they like.

#include <iosfwd>

#include "tests/properties/recipes.hpp"
#include "tests/properties/wire_rules.hpp"

namespace rimebench::properties {

/// After `gap_us` a wire takes another level or value.
struct Flick {
  std::int64_t gap_us;
  Channel wire;
  std::int32_t value;  ///< of a sample; a level turns over
};

struct WireCase {
  RecipeValues recipe;
  RecipeValues second;  ///< staged and committed in the middle, whole or not
  std::int64_t spoilt;  ///< 0: whole; 1: a wrong checksum; 2: a value out of its range
  std::vector<Flick> flicks;
  std::int64_t begin_us;     ///< 0, or a century later
  std::int64_t feedback_us;  ///< of the valve; negative: none but its flicker
};

std::ostream& operator<<(std::ostream& out, const WireCase& wires);

/// `any`: recipes anywhere in their range; else ones of a small line that doses.
WireCase any_case(bool any);

/// Interlocks closed and the recipe at 1 000 us, started at 3 000; then the flicker.
Changes inputs_of(const WireCase& wires);

Played play(const WireCase& wires, WireRules& rules);

}  // namespace rimebench::properties
