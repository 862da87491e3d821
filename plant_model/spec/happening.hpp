#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "firmware_sim/contract/parameter.hpp"
#include "firmware_sim/units/quantity.hpp"
#include "plant_model/spec/dosing_supply.hpp"
#include "plant_model/spec/trouble.hpp"

namespace rimebench {

/// Line speed at a moment; between knots it is linear, before the first and after the last it
/// holds.
struct SpeedKnot {
  Instant at{};
  double containers_per_min{};
};
using SpeedProfile = std::vector<SpeedKnot>;

/// Never on an empty profile.
inline double containers_per_min_at(const SpeedProfile& profile, Instant at) {
  const auto after = std::upper_bound(profile.begin(), profile.end(), at,
                                      [](Instant t, const SpeedKnot& k) { return t < k.at; });
  if (after == profile.begin()) return after->containers_per_min;
  const SpeedKnot& before = *(after - 1);
  if (after == profile.end()) return before.containers_per_min;
  const double rise = after->containers_per_min - before.containers_per_min;
  return before.containers_per_min + rise * static_cast<double>((at - before.at).raw) /
                                         static_cast<double>((after->at - before.at).raw);
}

/// The line is stopped by its operator or its controls: the run permit falls at `at`, a moving belt
/// coasts to rest within `coast`, and after `lasts` the permit returns and the belt ramps up again.
struct LineStop {
  Instant at{kNever};  ///< kNever: drawn, `per_hour` of them
  Duration lasts{};
  Duration coast{};
  Duration ramp{};
  double per_hour{};
  Duration lasts_max{};  ///< drawn: each lasts between `lasts` and this; 0: all last `lasts`
};

/// Drops of drink on the sensor: the given share of containers shows short extra levels as it
/// arrives.
struct SensorChatter {
  std::int32_t share_ppm{};
  int edges{};   ///< extra level changes, an even number
  Duration gap;  ///< between them
};

/// Disturbances that begin at a moment and last for a time.
enum class SpellKind : std::uint8_t {
  kSensorStuckHigh,
  kSensorStuckLow,
  kCreep,
  kSpeedStep,
  kHunting,
  kJog,
  kEmergencyStop,
  kSlip,
  kSeamerSlow,
  kSeamerStop,
  kDownstreamFull,
  kPermitFlicker,
  kSafetyOpen,
  kLinkFlicker,
  kFeedPause,
  kCount,
};

struct Spell {
  Instant at{kNever};  ///< kNever: drawn, `per_hour` of them
  double per_hour{};
  Duration lasts{};
  double amount{};    ///< percent or um/s, as its kind has it
  Duration ramp{};    ///< from and to full speed
  Duration coast{};   ///< emergency stop: to rest
  Duration period{};  ///< hunting
};

/// Disturbances of single containers, groups or pulses, a share of them at random.
enum class MishapKind : std::uint8_t {
  kSplashEcho,
  kUnseen,
  kShoulder,
  kFallen,
  kTouching,
  kExtra,
  kTakenBeforeSeam,
  kTakenBehindSeam,
  kShortGroup,
  kGroupSignalLost,
  kGroupSignalLate,
  kPulseLost,
  kPulseDoubled,
  kCount,
};

struct Mishap {
  std::int32_t share_ppm{};
  Duration after{};  ///< from the edge that it belongs to
  Duration lasts{};
  std::int64_t um{};  ///< a length or a distance, as its kind has it
  int heads{};        ///< short group: those that release
};

/// Another container of the same diameter, with the recipe of the right one: a share of those that
/// are released between `at` and `at` + `lasts`.
struct WrongContainer {
  std::int32_t share_ppm{};
  Instant at{};
  Duration lasts{};
  double brimful_ml{};
  double fill_ml{};
  std::int64_t rim_to_drink_um{};
  std::int64_t shorter_um{};  ///< its rim is this much further below the nozzle
};

enum class Button : std::uint8_t { kReset, kStart, kStop, kTestShots, kLoadRecipe };

/// The operator presses a button while the line runs; the first reset and start come by themselves.
struct OperatorAct {
  Instant at{};
  Button button{};
  int shots{};  ///< test shots asked for
};

/// What goes wrong or changes while the line runs.
struct Happenings {
  std::vector<LineStop> stops;       ///< scheduled ones in time order, not overlapping
  std::int32_t missing_share_ppm{};  ///< containers that the filler does not release, at random
  std::vector<int> heads_missing;  ///< inline: heads (1 is nearest the seamer) that release nothing
  SensorChatter chatter;
  SupplyHappenings supply;
  std::vector<ValveTrouble> valve;
  std::vector<GateTrouble> gate;
  std::optional<CoreHang> core_hang;
  std::optional<CoreRestart> core_restart;
  std::optional<LinkFault> link_fault;
  std::int64_t sensor_drift_um_per_h{};  ///< the sensor moves along the travel
  std::array<std::vector<Spell>, static_cast<std::size_t>(SpellKind::kCount)> spells;
  std::array<Mishap, static_cast<std::size_t>(MishapKind::kCount)> mishaps;
  WrongContainer wrong_container;
  std::vector<OperatorAct> operator_acts;
  std::optional<RecipeValues> second_recipe;  ///< what kLoadRecipe stages and commits

  const std::vector<Spell>& of(SpellKind kind) const {
    return spells[static_cast<std::size_t>(kind)];
  }
  std::vector<Spell>& of(SpellKind kind) { return spells[static_cast<std::size_t>(kind)]; }
  const Mishap& of(MishapKind kind) const { return mishaps[static_cast<std::size_t>(kind)]; }
  Mishap& of(MishapKind kind) { return mishaps[static_cast<std::size_t>(kind)]; }
  /// Containers may come back to where they have been.
  bool turns_back() const {
    const auto back = [](const Spell& jog) { return jog.amount < 0.0; };
    return std::any_of(of(SpellKind::kJog).begin(), of(SpellKind::kJog).end(), back);
  }
};

/// The most by which steps and hunting raise the line's speed above its profile.
inline double fastest_factor(const Happenings& happens) {
  double step = 1.0;
  double hunting = 0.0;
  for (const Spell& spell : happens.of(SpellKind::kSpeedStep)) {
    step = std::max(step, spell.amount / 100.0);
  }
  for (const Spell& spell : happens.of(SpellKind::kHunting)) {
    hunting = std::max(hunting, spell.amount / 100.0);
  }
  return step * (1.0 + hunting);
}

}  // namespace rimebench
