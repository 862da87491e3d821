#pragma once

#include <cstdint>

namespace rimebench {

/// What a wire of the line carries. The number's top nibble is the channel's class, so that plain
/// number order is the canonical order inside one instant: inputs, then outputs, then witnesses.
///   0x0000 signals and samples to the controller      0x1000 + id  one recipe parameter, staged
///   0x2000 outputs, 0x2100 + id  one counter          0x3000       witnesses
///   0x3100 pins as the node's port measured them      0x3200       figures of a paced run
/// Names, units and meanings stand in channel_table.hpp.
enum class Channel : std::uint16_t {
  kContainerSensor = 0x0001,
  kLinePulse,
  kGroupStart,
  kDischargeSensor,
  kRunPermit,
  kSafetyChain,
  kSupplyReady,
  kValveFeedback,
  kFillerRunning,
  kSeamerRunning,
  kDownstreamFull,
  kLidPresent,
  kRejectConfirmed,
  kRejectBinFull,
  kGateAir,
  kPressureLow,
  kPressureHigh,
  kLinkAlive,
  kOperatorStart,
  kOperatorStop,
  kOperatorReset,
  kOperatorTestShots,
  kSupplyLevel,
  kSupplyPressure,
  kBodyTemperature,
  kRoomOxygen,

  kRecipeFirst = 0x1000,   // + parameter slot
  kRecipeCommit = 0x1fff,  // after every parameter of its instant

  kValve = 0x2001,
  kReject,
  kLinePermit,
  kSupplyIsolation,
  kAlarm,
  kMode,
  kRecipeState,
  kCounterFirst = 0x2100,  // + counter

  kValveActual = 0x3001,
  kLanding,
  kLid,
  kSeam,
  kGate,
  kValveCoil,

  kPinFirst = 0x3100,  // + the low byte of a plain output's number
  kValvePin,
  kRejectPin,
  kLinePermitPin,
  kSupplyIsolationPin,

  kPacedLateMax = 0x3200,  // the first figure of a paced run
  kPacedLockMemory,
  kPacedRealtime,
  kPacedInputs,
  kPacedInputsLate,
  kPacedFirstLate,
  kPacedLateMedian,
  kPacedLate99,
  kPacedLateWorst,
  kPacedBenchMedian,
  kPacedBench99,
  kPacedBenchWorst,
  kPacedLinkMedian,
  kPacedLink99,
  kPacedLinkWorst,
  kPacedOutputs,
  kPacedPinMedian,
  kPacedPin99,
  kPacedPinWorst,
  kPacedClockAheadWhole,
  kPacedClockAheadRest,
  kPacedClockError,
  kPacedClockDrift,  // the last
};

/// Whether the answer of an option that asks the system for something was yes, on its channel.
enum class SystemGrant : std::int8_t { kRefused = -1, kNotAsked = 0, kGranted = 1 };

enum class ChannelClass : std::uint8_t { kToController, kFromController, kWitness };

constexpr std::uint16_t number(Channel channel) { return static_cast<std::uint16_t>(channel); }

constexpr ChannelClass class_of(Channel channel) {
  if (number(channel) < 0x2000) return ChannelClass::kToController;
  return number(channel) < 0x3000 ? ChannelClass::kFromController : ChannelClass::kWitness;
}

/// The witness of an output's pin; channel 0 for an output that has none, being a number.
constexpr Channel pin_of(Channel output) {
  const bool level = output >= Channel::kValve && output <= Channel::kSupplyIsolation;
  return level ? static_cast<Channel>(number(output) - 0x2000 + number(Channel::kPinFirst))
               : Channel{};
}
static_assert(pin_of(Channel::kSupplyIsolation) == Channel::kSupplyIsolationPin);

}  // namespace rimebench
