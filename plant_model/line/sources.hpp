#pragma once

#include <cstdint>

#include "plant_model/kernel/random.hpp"

namespace rimebench {

/// Every source of chance of the line. A number is never reused, so an added disturbance never
/// shifts another: two runs differ only where they should. `item` is the place in the filler's
/// stream, or the ordinal of a shot.
enum class Source : std::uint32_t {
  kContainer = 1,  ///< fill, headspace gas, boil-off, pitch
  kSensor = 2,     ///< response on, response off
  kValve = 3,      ///< open delay, close delay, flow; item: shot
  kMissing = 4,
  kChatter = 5,
  kStops = 20,  ///< item: entry and ordinal, as of every spell
  kSplashEcho = 21,
  kUnseen = 22,
  kShoulder = 23,
  kFallen = 24,
  kTouching = 25,
  kExtra = 26,
  kTakenBeforeSeam = 27,
  kTakenBehindSeam = 28,
  kShortGroup = 29,  ///< item: group, as of the next two
  kGroupSignalLost = 30,
  kGroupSignalLate = 31,
  kSticksShut = 32,  ///< item: shot, as of the next
  kSticksOpen = 33,
  kGateFails = 34,  ///< item: container, as of the next
  kConfirmEye = 35,
  kPressureCheck = 36,
  kPulseLost = 37,  ///< item: pulse, as of the next
  kPulseDoubled = 38,
  kWrongContainer = 39,
  kSpellFirst = 64,  ///< to 95: one for each SpellKind, in its order
};

/// True in this share of all items.
inline bool happens_to(std::uint64_t seed, Source source, std::int64_t item,
                       std::int32_t share_ppm) {
  if (share_ppm == 0) return false;
  const RandomBlock words =
      draw(seed, static_cast<std::uint32_t>(source), static_cast<std::uint64_t>(item), 0);
  return happens(words[0], static_cast<std::uint32_t>(share_ppm));
}

}  // namespace rimebench
