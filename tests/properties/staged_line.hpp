#pragma once

#include <vector>

#include "tests/properties/line_plan.hpp"
#include "tests/properties/true_belt.hpp"

namespace rimebench::properties {

/// A container as the plant knows it.
struct TrueContainer {
  std::int64_t leading_um;  ///< belt position at which its leading edge passes the sensor
  std::int64_t width_um;
  int place;
  bool plausible;             ///< as wide as the recipe's containers are
  std::int64_t delay_us = 0;  ///< the seamer pauses for so long before it takes this one
  std::size_t recipe = 0;     ///< of those accepted, the one it was admitted under
  Instant seam_at{};
  std::int64_t gate_um = 0;  ///< belt position at which its centre stands at the gate
};

/// Everything a plan comes to: the inputs of the controller, and the truth to judge it by.
struct StagedLine {
  LinePlan plan;
  std::vector<RecipeValues> recipes;  ///< accepted, in order
  std::vector<Feedback> feedback;
  Changes inputs;
  TrueBelt belt;
  std::vector<TrueContainer> containers;
  Instant end;
};

StagedLine stage_line(const LinePlan& plan);

inline constexpr std::int64_t kSensorToNozzle = 300'000;
inline constexpr std::int64_t kNozzleToSeam = 600'000;

}  // namespace rimebench::properties
