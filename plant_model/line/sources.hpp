#pragma once

#include <cstdint>

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
  kSticksShut = 32,  ///< item: shot, as of the next
  kSticksOpen = 33,
  kGateFails = 34,  ///< item: container, as of the next
  kConfirmEye = 35,
  kPressureCheck = 36,
};

}  // namespace rimebench
