#pragma once

/// The keys of the line's disturbances, those of what moves, signals and fills, under `happens`.

#include <array>
#include <span>

#include "harness/config/rows.hpp"
#include "harness/config/tables.hpp"

namespace rimebench {

// clang-format off
inline constexpr Row<Spell> kSpellAt{"at_us", &Spell::at, "us", 100'000, kWeekUs, kMayBeAbsent, "it begins; or per_hour"};
inline constexpr Row<Spell> kSpellPerHour{"per_hour", &Spell::per_hour, "1/h", 0, 3'600, 0, "so many an hour, at random moments; or at_us"};
inline constexpr Row<Spell> kSpellFor{"for_us", &Spell::lasts, "us", 1, kWeekUs, kMustBeGiven, "it lasts"};

inline constexpr auto kPlainSpellRows = std::to_array<Row<Spell>>({kSpellAt, kSpellPerHour, kSpellFor});
inline constexpr auto kCreepRows = std::to_array<Row<Spell>>({kSpellAt, kSpellPerHour, kSpellFor,
    {"percent", &Spell::amount, "%", 0, 50, kMustBeGiven, "of the line's speed that is left; 0: a jam"},
    {"ramp_us", &Spell::ramp, "us", 1'000, kMinuteUs, 500'000, "down to it, and back"},
});
inline constexpr auto kSpeedStepRows = std::to_array<Row<Spell>>({kSpellAt, kSpellPerHour, kSpellFor,
    {"percent", &Spell::amount, "%", 50, 200, kMustBeGiven, "of the line's speed"},
    {"ramp_us", &Spell::ramp, "us", 1'000, kMinuteUs, 1'000, "to it, and back"},
});
inline constexpr auto kHuntingRows = std::to_array<Row<Spell>>({kSpellAt, kSpellPerHour, kSpellFor,
    {"percent", &Spell::amount, "%", 0.1, 50, kMustBeGiven, "most deviation from the line's speed"},
    {"period_us", &Spell::period, "us", 1'000'000, 10 * kMinuteUs, kMustBeGiven, "from swing to swing"},
});
inline constexpr auto kJogRows = std::to_array<Row<Spell>>({kSpellAt, kSpellFor,
    {"um_per_s", &Spell::amount, "um/s", -200'000, 200'000, kMustBeGiven, "the belt moves so fast; below 0: back"},
});
inline constexpr auto kEmergencyStopRows = std::to_array<Row<Spell>>({kSpellAt, kSpellPerHour, kSpellFor,
    {"coast_us", &Spell::coast, "us", 0, kMinuteUs, 300'000, "a moving belt comes to rest within this"},
    {"ramp_us", &Spell::ramp, "us", 0, kMinuteUs, 3'000'000, "back to full speed"},
});
inline constexpr auto kSlipRows = std::to_array<Row<Spell>>({kSpellAt, kSpellPerHour, kSpellFor,
    {"percent", &Spell::amount, "%", 0.1, 90, kMustBeGiven, "of the travel that the pulses tell, and containers do not make"},
});
inline constexpr auto kSeamerSlowRows = std::to_array<Row<Spell>>({kSpellAt, kSpellPerHour, kSpellFor,
    {"percent", &Spell::amount, "%", 100, 2'000, kMustBeGiven, "of each of the seamer's planned times"},
});

inline constexpr Row<Mishap> kSharePpm{"share_ppm", &Mishap::share_ppm, "ppm", 0, 1'000'000, kMustBeGiven, "so many of a million, at random"};

inline constexpr auto kPlainMishapRows = std::to_array<Row<Mishap>>({kSharePpm});
inline constexpr auto kFalseLevelRows = std::to_array<Row<Mishap>>({kSharePpm,
    {"after_us", &Mishap::after, "us", 1, 1'000'000, kMustBeGiven, "behind the edge of the signal"},
    {"for_us", &Mishap::lasts, "us", 1, 1'000'000, kMustBeGiven, "the false level lasts"},
});
inline constexpr auto kFallenRows = std::to_array<Row<Mishap>>({kSharePpm,
    {"length_um", &Mishap::um, "um", 1'000, 1'000'000, kMustBeGiven, "what the sensor sees of it as it lies"},
});
inline constexpr auto kExtraRows = std::to_array<Row<Mishap>>({kSharePpm,
    {"behind_um", &Mishap::um, "um", 1'000, 20'000'000, kMustBeGiven, "from the centre of the one ahead; it comes only where there is room before the next"},
});
inline constexpr auto kShortGroupRows = std::to_array<Row<Mishap>>({kSharePpm,
    {"heads", &Mishap::heads, "1", 1, kPlaces, kMustBeGiven, "that release, the nearest to the seamer"},
});
inline constexpr auto kLateRows = std::to_array<Row<Mishap>>({kSharePpm,
    {"after_us", &Mishap::after, "us", 1, 5'000'000, kMustBeGiven, "it comes so late"},
});

inline constexpr auto kWrongContainerRows = std::to_array<Row<WrongContainer>>({
    {"share_ppm", &WrongContainer::share_ppm, "ppm", 0, 1'000'000, kMustBeGiven, "of the containers released in that time"},
    {"at_us", &WrongContainer::at, "us", 0, kWeekUs, 0, "from this moment on"},
    {"for_us", &WrongContainer::lasts, "us", 1, kWeekUs, kWeekUs, "for so long"},
    {"brimful_ml", &WrongContainer::brimful_ml, "ml", 1, 100'000, kMustBeGiven, "its brimful volume"},
    {"fill_ml", &WrongContainer::fill_ml, "ml", 1, 100'000, kMustBeGiven, "what the filler puts into it"},
    {"rim_to_drink_um", &WrongContainer::rim_to_drink_um, "um", 0, 500'000, kMustBeGiven, "from its rim down to the drink"},
    {"shorter_um", &WrongContainer::shorter_um, "um", -500'000, 500'000, 0, "its rim is so much further below the nozzle"},
});

/// A list of spells under `happens`.
struct SpellKey {
  SpellKind kind;
  PlainKey key;
  std::span<const Row<Spell>> rows;
};

/// A map under `happens`.
struct MishapKey {
  MishapKind kind;
  const char* key;
  std::span<const Row<Mishap>> rows;
  const char* doc;
};

inline constexpr auto kSpellKeys = std::to_array<SpellKey>({
    {SpellKind::kSensorStuckHigh, {"sensor_stuck_high", "a list of {at_us or per_hour, for_us}", "none", "the container sensor shows a container, whatever comes"}, kPlainSpellRows},
    {SpellKind::kSensorStuckLow, {"sensor_stuck_low", "a list of {at_us or per_hour, for_us}", "none", "the container sensor shows nothing, whatever comes"}, kPlainSpellRows},
    {SpellKind::kCreep, {"creeps", "a list of {at_us or per_hour, for_us, percent, ramp_us}", "none", "the belt falls to a crawl or jams, while the run permit stays"}, kCreepRows},
    {SpellKind::kSpeedStep, {"speed_steps", "a list of {at_us or per_hour, for_us, percent, ramp_us}", "none", "the line runs at another speed"}, kSpeedStepRows},
    {SpellKind::kHunting, {"hunting", "a list of {at_us or per_hour, for_us, percent, period_us}", "none", "the line's speed swings to and fro"}, kHuntingRows},
    {SpellKind::kJog, {"jogs", "a list of {at_us, for_us, um_per_s}", "none", "moved by hand while a stop holds the line; back on a locked transport only"}, kJogRows},
    {SpellKind::kEmergencyStop, {"emergency_stops", "a list of {at_us or per_hour, for_us, coast_us, ramp_us}", "none", "the safety chain opens and the line stops; the operator closes it after for_us, presses reset, reset and start a second apart, and a second later the line runs on"}, kEmergencyStopRows},
    {SpellKind::kSlip, {"slips", "a list of {at_us or per_hour, for_us, percent}", "none", "the belt moves containers less than the line pulses tell"}, kSlipRows},
    {SpellKind::kSeamerSlow, {"seamer_slow", "a list of {at_us or per_hour, for_us, percent}", "none", "queued line: the seamer takes longer than planned"}, kSeamerSlowRows},
    {SpellKind::kSeamerStop, {"seamer_stops", "a list of {at_us or per_hour, for_us}", "none", "queued line: the seamer takes no container, the belt runs on"}, kPlainSpellRows},
    {SpellKind::kDownstreamFull, {"downstream_full", "a list of {at_us or per_hour, for_us}", "none", "no room behind the seamer; the seamer of a queued line waits"}, kPlainSpellRows},
    {SpellKind::kPermitFlicker, {"permit_flickers", "a list of {at_us or per_hour, for_us}", "none", "the run permit drops while the belt runs on"}, kPlainSpellRows},
    {SpellKind::kSafetyOpen, {"safety_chain_open", "a list of {at_us or per_hour, for_us}", "none", "the safety chain opens, the belt runs on until the line permit is lost"}, kPlainSpellRows},
    {SpellKind::kLinkFlicker, {"link_flickers", "a list of {at_us or per_hour, for_us}", "none", "the link alive signal drops"}, kPlainSpellRows},
    {SpellKind::kFeedPause, {"feed_pauses", "a list of {at_us or per_hour, for_us}", "none", "the filler releases nothing, the line runs on and empties"}, kPlainSpellRows},
});
static_assert(kSpellKeys.size() == static_cast<std::size_t>(SpellKind::kCount));

inline constexpr auto kMishapKeys = std::to_array<MishapKey>({
    {MishapKind::kSplashEcho, "splash_echo", kFalseLevelRows, "a false level of the sensor behind a container"},
    {MishapKind::kUnseen, "unseen", kPlainMishapRows, "containers that the sensor does not show"},
    {MishapKind::kShoulder, "shoulder", kFalseLevelRows, "the sensor's level drops while a container is in front of it"},
    {MishapKind::kFallen, "fallen", kFallenRows, "containers that lie on their side"},
    {MishapKind::kTouching, "touching", kPlainMishapRows, "containers pushed against the one ahead"},
    {MishapKind::kExtra, "extra", kExtraRows, "one more is put in by hand behind a container"},
    {MishapKind::kTakenBeforeSeam, "taken_before_seam", kPlainMishapRows, "containers taken away by hand between nozzle and seamer"},
    {MishapKind::kTakenBehindSeam, "taken_behind_seam", kPlainMishapRows, "containers taken away by hand between seamer and discharge sensor"},
    {MishapKind::kShortGroup, "short_groups", kShortGroupRows, "groups of an inline filler with fewer containers"},
    {MishapKind::kGroupSignalLost, "group_signal_lost", kPlainMishapRows, "groups whose signal does not come"},
    {MishapKind::kGroupSignalLate, "group_signal_late", kLateRows, "groups whose signal comes late"},
    {MishapKind::kPulseLost, "pulse_lost", kPlainMishapRows, "line pulses that do not come"},
    {MishapKind::kPulseDoubled, "pulse_doubled", kLateRows, "line pulses that come twice"},
});
static_assert(kMishapKeys.size() == static_cast<std::size_t>(MishapKind::kCount));

inline constexpr PlainKey kOperatorKey{"operator", "a list of {at_us, press, shots}", "none", "buttons that the operator presses beyond the first reset and start"};
inline constexpr PlainKey kPressKey{"press", "reset, start, stop, test_shots, load_recipe", nullptr, "the button"};
inline constexpr auto kPressWords = std::to_array<const char*>({"reset", "start", "stop", "test_shots", "load_recipe"});
inline constexpr auto kOperatorRows = std::to_array<Row<OperatorAct>>({
    {"at_us", &OperatorAct::at, "us", 100'000, kWeekUs, kMustBeGiven, "the button is pressed"},
    {"shots", &OperatorAct::shots, "1", 0, 1'000, 0, "test shots asked for"},
});
// clang-format on
static_assert(static_cast<int>(Button::kLoadRecipe) == 4);

}  // namespace rimebench
