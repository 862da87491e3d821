#pragma once

/// Which shot was meant for which container, when nothing on the wires says so.

#include <cstdint>
#include <vector>

namespace rimebench {

/// Where containers and shots stand on one scale, which may be belt travel or time: a shot made
/// exactly as asked stands where its container does.
struct MatchScale {
  std::vector<double> containers;  ///< rising
  std::vector<double> shots;       ///< rising
  double reach{};  ///< a shot further than this from where a container's shots come hits none
  double span{};   ///< the shots may all be off by this much at most
};

struct ShotMatch {
  double shift{};                   ///< by which all shots are off
  std::vector<std::int64_t> owner;  ///< for each shot the index of its container; -1: none
  std::int64_t unmatched{};         ///< shots without a container, and containers that have not
                                    ///< exactly one, those before the first and after the last shot
                                    ///< left out
  double spread{};                  ///< robust standard deviation of shots about their containers
};

/// The shift nearest to none at which shots and containers fit.
ShotMatch match_shots(const MatchScale& scale);

}  // namespace rimebench
