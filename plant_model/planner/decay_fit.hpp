#pragma once

/// The boil-off of nitrogen on a drink from a balance's readings: dm/dt = -(ref/tau) (m/ref)^p,
/// model.md's 3.4 in the form that the line's boil_off has.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "plant_model/physics/boil_off.hpp"
#include "plant_model/planner/fit.hpp"

namespace rimebench {

/// The balance, tared with the drink before the shot.
struct BalanceReading {
  double time_s{};
  double mass_g{};
};

struct DecayFit {
  double reference_mg{};  ///< the mean of the readings: there tau and exponent hardly depend on
                          ///< each other
  Estimate start_mg;
  Estimate tau_s;  ///< at `reference_mg`
  Estimate exponent;
  bool exponent_held{};  ///< the best exponent lay outside 0..1; held at the end it overstepped
  double residual_sd_mg{};
  int degrees_of_freedom{};
  std::vector<double> fitted_mg;
  std::vector<double> studentised;
  double outlier_limit{};

  physics::DecayLaw law() const;
};

/// Fits start, time constant and exponent. On nullopt `problem` says why that cannot be done.
std::optional<DecayFit> fit_decay(std::span<const BalanceReading> readings, double confidence,
                                  std::string& problem);

}  // namespace rimebench
