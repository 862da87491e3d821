#pragma once

/// Planted defects, for proving that the bench finds them. All are false in every ordinary build;
/// -DRIMEBENCH_DEFECT=<n> turns one on. Each is used at exactly one place.

#ifndef RIMEBENCH_DEFECT
#define RIMEBENCH_DEFECT 0
#endif

namespace rimebench {

inline constexpr bool kDefectLatencySign = RIMEBENCH_DEFECT == 1;  ///< latency added, not taken off
inline constexpr bool kDefectNoFlight = RIMEBENCH_DEFECT == 2;     ///< flight time forgotten
inline constexpr bool kDefectPlaceOffByOne = RIMEBENCH_DEFECT == 3;  ///< places counted from 1
inline constexpr bool kDefectNoDebounce = RIMEBENCH_DEFECT == 4;  ///< every edge believed at once
inline constexpr bool kDefectRejectOneLate = RIMEBENCH_DEFECT == 5;  ///< the next container removed
inline constexpr bool kDefectNoGuard = RIMEBENCH_DEFECT == 6;        ///< requests pass unguarded
inline constexpr bool kDefectCycleLater = RIMEBENCH_DEFECT == 9;  ///< a cycle takes five intervals

}  // namespace rimebench
