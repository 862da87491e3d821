#pragma once

/// From punctured packs back to the line's constants. A gauge reading is never taken for the
/// equilibrium pressure: the gauge's own dead volume, the pack's temperature, the gas that the
/// drink has taken up by then and the weighed fill stand between the two.
///
///   dose, constants ─> sealed ─> uptake ─> pressure in the pack ─> reading     (fitted)
///   reading ─> pressure in the pack ─> sealed nitrogen ─> equilibrium pressure (each pack)

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "plant_model/planner/fit.hpp"
#include "plant_model/planner/trim_line.hpp"

namespace rimebench {

/// One pack pierced with a gauge.
struct PackReading {
  int place{1};
  double open_us{};  ///< that dosed it
  double gauge_Pa{};
  double pack_c{};
  double minutes{};  ///< since the seam
  bool shaken{};     ///< until the gas had settled
  double dead_ml{};  ///< of the gauge and its tube
  double fill_g{};
};

/// Between these two lies the share of the way from prompt to equilibrium at the reading.
struct Uptake {
  double least{1.0};
  double most{1.0};

  /// At `movement`, 0 for a pack at rest, 1 for one that is moved all the time.
  double share(double movement) const;
  /// True if the two are close enough to work back from.
  bool known() const { return most - least <= 0.2; }
};

struct TrimPack {
  double sealed_mg{};       ///< nitrogen sealed in as liquid, worked back from the reading
  double equilibrium_Pa{};  ///< of this pack at the judge's temperature, from that
  double expected_Pa{};     ///< reading that the fit expects
  double uptake{};          ///< taken for it
  bool uptake_known{};
  double studentised{};
  bool outlier{};
};

struct TrimFit {
  Estimate tau_s;
  Estimate exponent;
  Estimate valve_bias;
  bool one_wait{};       ///< all waits alike: boil-off and valve cannot be told apart
  bool exponent_held{};  ///< the best lay outside 0..1
  Fit fit;  ///< of 1/tau, bias, exponent unless held, movement if a pack was not shaken
  std::vector<TrimPack> packs;
  std::vector<double> waits_s;

  LineConstants constants() const { return {tau_s.value, exponent.value, valve_bias.value}; }
  /// The constants that parameters of `fit` mean.
  LineConstants constants(std::span<const double> parameters) const;
  /// Small changes of each parameter.
  std::vector<double> steps() const;
};

/// Fits tau, exponent and valve bias. The exponent starts from the line's (known to 0.25) and so
/// does tau (to half of itself): packs that say nothing about them leave them there, with a wide
/// interval. How far packs that were not shaken have settled is one more unknown, the same for all
/// of them: a hundred of them know no more about it than one. On nullopt `problem` says why.
std::optional<TrimFit> fit_trim(const PlantSpec& spec, std::span<const PackReading> readings,
                                double confidence, std::string& problem);

/// Uptake of a pack that was not shaken lies between diffusion into a quiet drink and the exchange
/// of a moving one.
Uptake uptake_of(const PlantSpec& spec, const PackReading& reading, const physics::Sealed& sealed,
                 const physics::AtTemperature& at);

/// The reading of a pack with these contents; nothing if it is liquid-full.
std::optional<double> expected_reading_Pa(const physics::Sealed& sealed, double uptake,
                                          const PackReading& reading,
                                          const physics::AtTemperature& at);

}  // namespace rimebench
