#pragma once

/// Planted defects of the plant, numbered on from those of the core. All are false in every
/// ordinary build; -DRIMEBENCH_DEFECT=<n> turns one on. Each is used at exactly one place.

#ifndef RIMEBENCH_DEFECT
#define RIMEBENCH_DEFECT 0
#endif

namespace rimebench {

inline constexpr bool kDefectNoValveDelay = RIMEBENCH_DEFECT == 7;   ///< the valve acts at once
inline constexpr bool kDefectNoSeamerCycle = RIMEBENCH_DEFECT == 8;  ///< the seamer is never busy

}  // namespace rimebench
