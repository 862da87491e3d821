#pragma once

#include <cstdint>

namespace rimebench {

/// What a wire of the line carries. The number's top nibble is the channel's class, so that plain
/// number order is the canonical order inside one instant: inputs, then outputs, then witnesses.
///   0x0000 signals and samples to the controller      0x1000 + id  one recipe parameter, staged
///   0x2000 outputs, 0x2100 + id  one counter          0x3000       witnesses
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
};

enum class ChannelClass : std::uint8_t { kToController, kFromController, kWitness };

constexpr std::uint16_t number(Channel channel) { return static_cast<std::uint16_t>(channel); }

constexpr ChannelClass class_of(Channel channel) {
  if (number(channel) < 0x2000) return ChannelClass::kToController;
  return number(channel) < 0x3000 ? ChannelClass::kFromController : ChannelClass::kWitness;
}

}  // namespace rimebench
