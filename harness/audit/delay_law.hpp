#pragma once

/// Is the delay from sensor to valve a constant time, or a constant distance along the belt?
/// Both, and a mixture, by least squares over all dosed containers:
///   time      delay = T
///   distance  delay = S * slowness
///   both      delay = T + S * slowness
/// delay is from the edge passing the sensor to the middle of the shot landing, by the recipe's
/// latencies and flight; slowness is the mean time per travel on the way that the recipe asks for,
/// which does not depend on when the shot came. Time and distance have one unknown each, so the
/// difference of their Akaike criteria is n ln(SS/SS) (Burnham and Anderson, Model Selection, 2002;
/// from memory); the mixture is held against each by F.

#include <cstdint>
#include <optional>
#include <vector>

#include "harness/audit/robust.hpp"

namespace rimebench {

enum class DelayKind : std::uint8_t { kCannotTell, kTime, kDistance, kNeither };

struct DelayPoint {
  double delay_us{};
  double slowness_us_per_um{};
};

struct DelayLaw {
  DelayKind kind{};
  std::int64_t points{};
  std::int64_t
      outliers{};        ///< left out of all three fits: they stand out of the one that fits best
  double speed_range{};  ///< fastest over slowest, less 1
  Estimate time_us;      ///< of the constant time
  Estimate distance_um;  ///< of the constant distance
  double time_spread_us{};      ///< what a constant time leaves, standard deviation
  double distance_spread_us{};  ///< what a constant distance leaves
  double surer{};  ///< the better one is this many times as likely by their Akaike weights (log10)
  Estimate both_time_us;      ///< the mixture: what is constant in time,
  Estimate both_distance_um;  ///< and in distance
  double time_chance{};       ///< of a mixture as much better, if the delay were a constant time
  double distance_chance{};   ///< the same of a constant distance
};

/// Nothing with fewer than five points.
std::optional<DelayLaw> fit_delay(const std::vector<DelayPoint>& points);

}  // namespace rimebench
