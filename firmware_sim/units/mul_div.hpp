#pragma once

#include <cstdint>

#include "firmware_sim/units/demand.hpp"

namespace rimebench {

/// a * b with an overflow check; the only product of two run-time quantities in the core.
constexpr std::int64_t checked_product(std::int64_t a, std::int64_t b) {
  std::int64_t product{};
  DEMAND(!__builtin_mul_overflow(a, b, &product));
  return product;
}

/// a * b / c rounded towards minus infinity; c > 0. Panics if a * b leaves 64 bits.
constexpr std::int64_t mul_div_floor(std::int64_t a, std::int64_t b, std::int64_t c) {
  DEMAND(c > 0);
  const std::int64_t product = checked_product(a, b);
  const std::int64_t quotient = product / c;
  return product % c < 0 ? quotient - 1 : quotient;
}

/// a * b / c rounded towards plus infinity; c > 0. Panics if a * b leaves 64 bits.
constexpr std::int64_t mul_div_ceil(std::int64_t a, std::int64_t b, std::int64_t c) {
  DEMAND(c > 0);
  const std::int64_t product = checked_product(a, b);
  const std::int64_t quotient = product / c;
  return product % c > 0 ? quotient + 1 : quotient;
}

}  // namespace rimebench
