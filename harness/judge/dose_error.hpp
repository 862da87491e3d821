#pragma once

#include <map>

#include "harness/judge/verdict.hpp"

namespace rimebench {

/// How far the dose that landed in a container is off what the recipe wants there: its dose_ug
/// times its wait curve at the wait that the container really had, less what the line loses on the
/// way. So a place whose wait the recipe misjudges is off by as much as its pressure is. Of dosed
/// containers on the good side of the gate; positive is too much.
class DoseError {
 public:
  explicit DoseError(const Scenario& scenario);

  void on_row(const LedgerRow& row);
  /// Into the verdict's places, and held against what the run allows: the greatest error of a
  /// container and the greatest mean of a place, without their signs.
  void finish(Verdict& verdict) const;

 private:
  struct OfPlace {
    std::int64_t dosed{};
    double mean{};
    double worst{};
  };

  const RecipeValues& recipe_of(const LedgerRow& row) const;
  double wanted_ug(const LedgerRow& row) const;
  Finding worst_finding(double allowed) const;
  Finding mean_finding(double allowed) const;

  const PlantSpec& plant_;
  const RunLimits& limits_;
  double landed_share_;
  std::map<std::int64_t, OfPlace> places_;
  std::int64_t dosed_{};
  std::int64_t breaches_{};
  double worst_{};
  Breach first_{};
};

}  // namespace rimebench
