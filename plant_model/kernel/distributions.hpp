#pragma once

#include <bit>
#include <cstdint>

#include "firmware_sim/units/demand.hpp"

/// Shapes of chance that come out bit for bit alike on every processor and compiler.
///
/// The C library's log differs in the last bit between processors (it picks a fused multiply-add
/// where there is one), and a last bit decides now and then which microsecond an edge falls in. So
/// everything here uses + - x / and the square root alone, each correctly rounded by IEEE 754, in a
/// written order; the build adds -ffp-contract=off. Nothing here keeps state.
namespace rimebench {

namespace detail {

/// atanh(s)/s - 1 = z/3 + z^2/5 + ... with z = s^2 <= 0.0295. The first term left out, z^12/25, is
/// below 2e-20. The pairs are summed side by side, which is faster than one chain and as accurate.
constexpr double atanh_tail(double z) {
  const double z2 = z * z;
  const double z4 = z2 * z2;
  const double low = (1.0 / 3.0 + z * (1.0 / 5.0)) + z2 * (1.0 / 7.0 + z * (1.0 / 9.0));
  const double middle = (1.0 / 11.0 + z * (1.0 / 13.0)) + z2 * (1.0 / 15.0 + z * (1.0 / 17.0));
  const double high = (1.0 / 19.0 + z * (1.0 / 21.0)) + z2 * (1.0 / 23.0);
  return z * (low + z4 * (middle + z4 * high));
}

/// The two branches of the normal quantile beyond the centre; `tail` is the smaller of p and 1 - p.
double normal_quantile_tail(double tail);

}  // namespace detail

/// Natural logarithm of a positive normal double, within 0.9 unit in the last place (2e-16 of its
/// value) of a 60-digit logarithm over 30 000 arguments.
/// x = 2^k m with m between sqrt(1/2) and sqrt(2), and log m = 2 atanh((m - 1)/(m + 1)), written as
/// f minus a correction because f = m - 1 is exact. ln 2 is split in two: k times the upper part is
/// exact.
constexpr double natural_log(double x) {
  constexpr std::uint64_t kMantissa = (std::uint64_t{1} << 52) - 1;
  constexpr std::uint64_t kOneBits = std::uint64_t{1023} << 52;
  constexpr double kSqrt2 = 1.41421356237309504880;
  constexpr double kLn2Upper = 0x1.62e42fefa3800p-1;
  constexpr double kLn2Lower = 0x1.ef35793c76730p-45;
  const auto bits = std::bit_cast<std::uint64_t>(x);
  DEMAND(bits >= (std::uint64_t{1} << 52) && bits < (std::uint64_t{2047} << 52));
  int exponent = static_cast<int>(bits >> 52) - 1023;
  double mantissa = std::bit_cast<double>((bits & kMantissa) | kOneBits);
  if (mantissa > kSqrt2) {
    mantissa *= 0.5;
    ++exponent;
  }
  const double f = mantissa - 1.0;
  const double s = f / (mantissa + 1.0);
  const double tail = 2.0 * detail::atanh_tail(s * s);
  const double k = exponent;
  return k * kLn2Upper + (f - (s * (f - tail) - k * kLn2Lower));
}

/// Uniform in the open interval (0, 1) from one word: the middle of one of 2^32 equal cells.
constexpr double uniform(std::uint32_t word) { return (word + 0.5) * 0x1p-32; }

/// Uniform in (0, 1) from two words: the middle of one of 2^52 equal cells. For shares so small
/// that 2^-32 would show.
constexpr double uniform_fine(std::uint32_t upper, std::uint32_t lower) {
  const std::uint64_t cell = (std::uint64_t{upper} << 20) | (lower >> 12);
  return (static_cast<double>(cell) + 0.5) * 0x1p-52;
}

/// True in `chance_ppm` of a million cases; decided in integers, so 0 never happens and 1 000 000
/// always does. The chance is off by less than 2^-32.
constexpr bool happens(std::uint32_t word, std::uint32_t chance_ppm) {
  DEMAND(chance_ppm <= 1'000'000);
  return std::uint64_t{word} * 1'000'000 < std::uint64_t{chance_ppm} << 32;
}

/// The z with Phi(z) = p, for 0 < p < 1. Rational forms PPND16 of M. J. Wichura, "Algorithm AS 241:
/// the percentage points of the normal distribution", Applied Statistics 37 (1988) 477-484, stated
/// there to be accurate to about 1 part in 10^16; as computed here within 6e-16 of its value. The
/// central form, 85 % of draws, takes no logarithm.
inline double normal_quantile(double p) {
  DEMAND(p > 0.0 && p < 1.0);
  const double q = p - 0.5;
  if (q > 0.425 || q < -0.425) {
    const double z = detail::normal_quantile_tail(q < 0.0 ? p : 1.0 - p);
    return q < 0.0 ? -z : z;
  }
  const double r = 0.180625 - q * q;
  const double r2 = r * r;
  const double r4 = r2 * r2;
  const double above = ((3.3871328727963666080e0 + r * 1.3314166789178437745e2) +
                        r2 * (1.9715909503065514427e3 + r * 1.3731693765509461125e4)) +
                       r4 * ((4.5921953931549871457e4 + r * 6.7265770927008700853e4) +
                             r2 * (3.3430575583588128105e4 + r * 2.5090809287301226727e3));
  const double below = ((1.0 + r * 4.2313330701600911252e1) +
                        r2 * (6.8718700749205790830e2 + r * 5.3941960214247511077e3)) +
                       r4 * ((2.1213794301586595867e4 + r * 3.9307895800092710610e4) +
                             r2 * (2.8729085735721942674e4 + r * 5.2264952788528545610e3));
  return q * above / below;
}

/// Standard normal from one word: mean 0, deviation 1, nothing beyond 6.4 deviations.
inline double standard_normal(std::uint32_t word) { return normal_quantile(uniform(word)); }

/// Exponential with mean 1 from one word; at most 22.9.
constexpr double standard_exponential(std::uint32_t word) { return -natural_log(uniform(word)); }

}  // namespace rimebench
