#pragma once

#include <cstdint>

#include "firmware_sim/contract/channel.hpp"

namespace rimebench {

/// The number on the alarm channel; 0 is no alarm. Every fault closes the valve and stays latched
/// until the operator's reset finds its cause gone. Names and actions stand in fault_table.hpp.
enum class Fault : std::uint8_t {
  kNone,
  kSafetyChainLost,
  kLinkLost,
  kSupplyLost,
  kOpenTooLong,
  kOpenWithoutContainer,
  kValveStuckOpen,
  kValveStuckClosed,
  kContainerQueueFull,
  kPulseLost,
  kPulseImplausible,
  kSensorStuckHigh,
  kSensorStuckLow,
  kRejectUnconfirmed,
  kGateAirLow,
  kRejectBinFull,
  kCoolDownTooLong,
  kRoomOxygenLow,
  kHeadOutOfRange,
  kValveSlow,
  kOpenTooMuch,
  kCount,
};

/// What the core counts because it refused or corrected something. Each is an output channel
/// (counter_channel) whose value only grows within a run.
enum class Counter : std::uint8_t {
  kChatterRejected,
  kDoubleEdge,
  kWidthImplausible,
  kTooSlow,
  kTooLate,
  kNotRunning,
  kDoseOutOfRange,
  kRestTooShort,
  kShotCut,
  kWaitOutOfRange,
  kPlaceSaturated,
  kDischargeUnexpected,
  kRejected,
  kWaitCapped,
  kPulseLost,
  kPulseExtra,
  kPitchImplausible,
  kReversal,
  kGroupSizeWrong,
  kGroupUnannounced,
  kDischargeMissing,
  kCountUnsure,
  kNeighbourRejected,
  kRejectUnconfirmed,
  kStreamBegun,
  kStreamDoseWrong,
  kCoolDownShot,
  kTestShot,
  kTestShotRefused,
  kDoseUnsteady,
  kHeadUnfit,
  kSlowShot,
  kLandingOff,
  kCount,
};

constexpr Channel counter_channel(Counter counter) {
  return static_cast<Channel>(number(Channel::kCounterFirst) + static_cast<int>(counter));
}

/// Modes: the words of the packaging-machine state model (ISA-TR88.00.02), the ones this core has.
enum class Mode : std::uint8_t {
  kStopped,
  kIdle,
  kExecute,
  kSuspended,
  kAborted,
  kStarting,
  kCount,
};

/// Recipe state channel: 0 none yet, 1 accepted, -1 refused while running, -2 checksum differs,
/// -(1000 + slot) the first slot out of its range or order.
inline constexpr std::int32_t kRecipeAccepted = 1;
inline constexpr std::int32_t kRecipeRefusedRunning = -1;
inline constexpr std::int32_t kRecipeRefusedChecksum = -2;
inline constexpr std::int32_t kRecipeRefusedSlot = -1000;

}  // namespace rimebench
