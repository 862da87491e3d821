#include "tests/properties/true_belt.hpp"

#include <algorithm>

namespace rimebench::properties {

std::int64_t TrueBelt::at(Instant time) const {
  const auto after = std::lower_bound(knots_.begin(), knots_.end(), time,
                                      [](const Knot& knot, Instant t) { return knot.at < t; });
  if (after == knots_.end()) return knots_.back().um;
  if (after == knots_.begin()) return knots_.front().um;
  const Knot& before = *(after - 1);
  return before.um + (after->um - before.um) * (time - before.at).raw / (after->at - before.at).raw;
}

Instant TrueBelt::time_of(std::int64_t um) const {
  const auto after = std::lower_bound(knots_.begin(), knots_.end(), um,
                                      [](const Knot& knot, std::int64_t x) { return knot.um < x; });
  if (after == knots_.end()) return kNever;
  if (after == knots_.begin()) return knots_.front().at;
  const Knot& before = *(after - 1);
  const std::int64_t ahead = (um - before.um) * (after->at - before.at).raw;
  const std::int64_t distance = after->um - before.um;
  return before.at + Duration{(ahead + distance - 1) / distance};
}

}  // namespace rimebench::properties
