#pragma once

/// The valve's calibration from weighings (model.md's 4.2): a shot of `open_us` brings
/// flow x (open_us - dead time), and the flow goes with a power of the head of liquid above the
/// nozzle, 1/2 for a plain orifice.

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "plant_model/planner/fit.hpp"

namespace rimebench {

/// One collection: `shots` shots of `open_us` each into a tared cup, its own boil-off made good.
struct Weighing {
  double open_us{};
  double shots{};
  double mass_g{};   ///< of all of them together
  double head_mm{};  ///< liquid above the nozzle; 0: not noted
};

/// One row against the fit, a shot's worth each.
struct WeighingResidual {
  double measured_ug{};
  double fitted_ug{};
  double studentised{};
  bool outlier{};
};

/// Do repeated weighings scatter less than the line misses them by? Then it is not a line.
struct LackOfFit {
  double f{};
  double chance{};  ///< of an F so large if the line were right
  int repeats{};    ///< degrees of freedom of the repeats
};

struct ValveFit {
  Estimate flow_ug_per_us;  ///< at `head_mm`; g/s is the same number
  Estimate dead_us;         ///< opening delay less closing delay
  std::optional<Estimate> head_exponent;
  double head_mm{};     ///< the mean of the weighings; 0: not noted
  double shot_sd_ug{};  ///< scatter of one shot around the fit
  int degrees_of_freedom{};
  double open_us_min{};  ///< the range weighed
  double open_us_max{};
  std::vector<WeighingResidual> rows;
  std::optional<LackOfFit> lack_of_fit;  ///< nothing without repeats

  double dose_ug(double open_us) const { return flow_ug_per_us.value * (open_us - dead_us.value); }
};

/// Fits the calibration; rows count by their shots. On nullopt `problem` says what is missing.
std::optional<ValveFit> fit_valve(std::span<const Weighing> weighings, double confidence,
                                  std::string& problem);

}  // namespace rimebench
