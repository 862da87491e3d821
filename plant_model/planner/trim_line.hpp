#pragma once

/// The line as a trim sees it: what a dose by the recipe's reckoning becomes at each place, if the
/// constants that a trim fits were these. Packages go through the same model as the line's own.

#include <optional>

#include "plant_model/package/package_model.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

/// What commissioning has to find out. The time constant under the lid keeps its ratio to the one
/// on the belt.
struct LineConstants {
  double tau_s{};          ///< on the belt, at the line's reference mass
  double exponent{};       ///< of the boil-off
  double valve_bias{1.0};  ///< real dose over the dose that the recipe's open curve promises
};

/// As the scenario has them; the recipe's open curve is taken at its word.
LineConstants constants_of(const LineSpec& line);

/// Wait from landing to seam in s that the recipe expects of a place (from 1), the line at its
/// fastest.
double expected_wait_s(const PlantSpec& spec, int place);

/// The shortest wait in s that a container dosed for this place can have: nothing ahead of it in
/// the queue but what its place counts. Where the place is the head, that may be nothing at all.
double shortest_wait_s(const PlantSpec& spec, int place);

/// Dose in ug that the recipe's wait curve asks for after this wait.
double recipe_dose_ug(const RecipeValues& recipe, double wait_s);
/// Between open time and dose by the recipe's open curve; held at its ends.
double open_us_of(const RecipeValues& recipe, double dose_ug);
double dose_ug_of(const RecipeValues& recipe, double open_us);

class TrimLine {
 public:
  /// `spec` must outlive it.
  TrimLine(const PlantSpec& spec, const LineConstants& constants);
  TrimLine(const TrimLine&) = delete;
  TrimLine& operator=(const TrimLine&) = delete;

  /// The drink at its nominal fill.
  double nominal_drink_kg() const { return package_.drink_kg(0.0); }
  /// What a pack shuts in after a dose by the recipe's reckoning and a wait; nothing if brimful.
  std::optional<physics::Sealed> sealed(double dose_ug, double wait_s, double drink_kg) const;
  /// The same, but with this much liquid at the seam, whatever the dose would have left.
  std::optional<physics::Sealed> sealed_with(double liquid_kg, double dose_ug, double wait_s,
                                             double drink_kg) const;
  /// Liquid nitrogen left at the seam.
  double left_kg(double dose_ug, double wait_s) const;

  /// Dose by the recipe's reckoning that comes to this equilibrium pressure at the nominal fill;
  /// nothing if no dose does.
  std::optional<double> dose_ug_for(double target_Pa, double wait_s,
                                    const physics::AtTemperature& at) const;

  physics::AtTemperature at(double celsius) const { return package_.at(celsius); }

 private:
  double landed_kg(double dose_ug) const;

  LineSpec line_;
  PackageModel package_;
  double landed_share_;
  double under_lid_s_;
};

}  // namespace rimebench
