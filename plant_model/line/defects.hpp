#pragma once

/// Planted defects of the plant, 7 and 8; the others are the core's. All are false in every
/// ordinary build; -DRIMEBENCH_DEFECT=<n> turns one on. Each is used at exactly one place.

#ifndef RIMEBENCH_DEFECT
#define RIMEBENCH_DEFECT 0
#endif

namespace rimebench {

inline constexpr bool kDefectNoValveDelay = RIMEBENCH_DEFECT == 7;   ///< the valve acts at once
inline constexpr bool kDefectNoSeamerCycle = RIMEBENCH_DEFECT == 8;  ///< the seamer is never busy

}  // namespace rimebench
