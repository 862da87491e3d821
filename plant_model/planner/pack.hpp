#pragma once

/// One container between landing and shelf, forward and backward, through the same PackageModel
/// that the line runs: plan and run cannot disagree.

#include <functional>
#include <optional>

#include "plant_model/package/package_model.hpp"
#include "plant_model/planner/waits.hpp"
#include "plant_model/spec/plan.hpp"

namespace rimebench {

/// A container as the seam closes it.
struct Pack {
  double landed_kg{};
  double sealed_kg{};  ///< nitrogen still liquid
  physics::HeadspaceGas gas{};
  std::optional<physics::Sealed> sealed;  ///< nothing if the drink fills it to the brim

  double evaporated_kg() const { return landed_kg - sealed_kg; }
};

/// Deviations of one container from its nominal, in what the sensitivities ask for.
struct PackChange {
  double fill_ml{};  ///< more than the nominal fill
  double gas_K{};    ///< warmer headspace gas at the seam
};

class PackPlan {
 public:
  explicit PackPlan(const PlanSpec& plan);
  PackPlan(const PackPlan&) = delete;
  PackPlan& operator=(const PackPlan&) = delete;

  /// What comes of liquid landed so long before the seam.
  Pack forward(double landed_kg, const Wait& wait, const PackChange& change = {}) const;

  /// Liquid that must land to meet the plan's target after this wait; nothing where no dose does,
  /// zero where none is needed.
  std::optional<double> landed_for_target(const Wait& wait) const;

  /// Liquid that may land for this prompt pressure at a temperature after this wait.
  std::optional<double> landed_for_prompt_Pa(double gauge_Pa, double celsius,
                                             const Wait& wait) const;

  /// How far a pack is past the plan's target, in the target's own unit; rises with the dose.
  double excess(const Pack& pack) const;

  /// Gauge pressures; nothing if the pack is liquid-full at that temperature.
  std::optional<double> prompt_Pa(const Pack& pack, double celsius) const;
  std::optional<double> equilibrium_Pa(const Pack& pack, double celsius) const;
  /// Dissolved once settled at a temperature, mg/kg; nothing if liquid-full.
  std::optional<double> dissolved_nitrogen_mg_per_kg(const Pack& pack, double celsius) const;
  /// At the target's temperature, and at its age in a plastic container.
  std::optional<double> target_equilibrium_Pa(const Pack& pack) const;

  double headspace_ml() const;
  const PackageModel& model() const { return model_; }

 private:
  const PlanSpec& plan_;
  PackageModel model_;
  physics::AtTemperature at_target_;
};

/// The least x of 0 or more at which a rising function reaches zero, to the last digits; nothing
/// if it has not done so at `most`.
std::optional<double> first_zero(const std::function<double(double)>& rising, double most);

}  // namespace rimebench
