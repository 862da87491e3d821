#pragma once

#include <cstdint>
#include <set>

#include "harness/intake/speed_intake.hpp"

namespace rimebench {

/// What a column's values tell about the instrument: stuck, or coarse.
class ValueWatch {
 public:
  /// Where a value holds until the next row by the log's nature, standing still tells nothing.
  ValueWatch(const Choices& choices, bool holds);

  void see(std::int64_t us, double value, std::int64_t line);
  void finish(SpeedIntake& result);

 private:
  struct Stand {
    std::int64_t line{};
    std::int64_t from_us{};
    double value{};
  };
  void end_stand();

  double stuck_s_;
  bool holds_;
  Stand stand_;
  std::int64_t last_us_{0};
  std::int64_t moves_{0};
  std::int64_t stands_{0};
  Stand first_long_;
  double longest_s_{0.0};
  std::set<double> values_;  ///< at most kValues + 1 of them
};

}  // namespace rimebench
