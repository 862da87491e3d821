#pragma once

#include <cstdint>

#include "firmware_sim/units/demand.hpp"

namespace rimebench {

/// The smallest whole number whose square is not less than `value` >= 0. Digit by digit, without a
/// division.
constexpr std::int64_t square_root_ceil(std::int64_t value) {
  DEMAND(value >= 0);
  std::int64_t rest = value;
  std::int64_t root = 0;
  for (std::int64_t bit = std::int64_t{1} << 62; bit > 0; bit >>= 2) {
    if (rest >= root + bit) {
      rest -= root + bit;
      root = (root >> 1) + bit;
    } else {
      root >>= 1;
    }
  }
  return rest > 0 ? root + 1 : root;
}

}  // namespace rimebench
