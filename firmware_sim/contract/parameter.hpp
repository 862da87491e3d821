#pragma once

#include <array>
#include <cstdint>

#include "firmware_sim/contract/channel.hpp"
#include "firmware_sim/contract/crc.hpp"

namespace rimebench {

inline constexpr int kCurvePoints = 8;
inline constexpr int kPlaces = 16;

/// What a recipe may set. The value is the first slot; a list takes as many slots as it has
/// entries. Keys, units, ranges and meanings stand in parameter_table.hpp.
enum class Parameter : std::uint16_t {
  kLinePulsePitchUm,
  kLineSpeedUmPerS,
  kSpeedMinUmPerS,
  kSensorToNozzleUm,
  kNozzleToSeamUm,
  kEdgeToCentreUm,
  kSensorLatencyUs,
  kDebounceUs,
  kContainerWidthMinUm,
  kContainerWidthMaxUm,
  kPitchMinUm,
  kLandingLateMaxUm,
  kValveOpenDelayUs,
  kValveCloseDelayUs,
  kFlightUs,
  kOpenUsMin,
  kOpenUsMax,
  kRestUsMin,
  kValveFeedbackUsMax,
  kOpenCurveUg,
  kOpenCurveUs = kOpenCurveUg + kCurvePoints,
  kDoseUg = kOpenCurveUs + kCurvePoints,
  kWaitSource,
  kWaitFixedUs,
  kWaitCurveUs,
  kWaitCurvePpm = kWaitCurveUs + kCurvePoints,
  kWaitErrorMaxUs = kWaitCurvePpm + kCurvePoints,
  kPlaceSource,
  kPlaceCount,
  kPlaceWaitUs,
  kGroupStartToSensorUm = kPlaceWaitUs + kPlaces,
  kHeadPitchUm,
  kTransport,
  kSensorToGateUm,
  kDischargeToGateUm,
  kSeamToDischargeUs,
  kGateBeforeUm,
  kGateAfterUm,
  kSpeedMaxUmPerS,
  kAccelerationMaxUmPerS2,
  kSeamerToSeamUs,
  kSeamerCycleUs,
  kSeamerCycleUsMin,
  kSeamerCycleUsMax,
  kImplausibleRowMax,
  kPitchUm,
  kPitchErrorMaxUm,
  kPulseJumpMaxPpm,
  kPulseUsMax,
  kSensorHighUmMax,
  kSensorLowUmMax,
  kGroupGapUm,
  kGroupSizeMin,
  kGroupCheck,
  kRejectNeighbours,
  kDischargeGapUs,
  kRejectConfirmUsMax,
  kRejectUnconfirmedMax,
  kGateSignals,
  kStreamEnterUmPerS,
  kStreamLeaveUmPerS,
  kStreamGapUs,
  kStreamUsMax,
  kStreamFlowUgPerS,
  kOpeningUm,
  kStreamDoseErrorMaxPpm,
  kPurgeUs,
  kCoolDownOpenUs,
  kCoolDownPeriodUs,
  kCoolDownUsMax,
  kBodyTemperatureMkMax,
  kSupplyLevelUmMin,
  kColdHoldUs,
  kTestShotsAtStart,
  kTestOpenUs,
  kTestPeriodUs,
  kNozzleClearUm,
  kIdleUsMax,
  kIdlePeriodUs,
  kUnsteadyCount,
  kHeadCurvePa,
  kHeadCurvePpm = kHeadCurvePa + kCurvePoints,
  kHeadOutUsMax = kHeadCurvePpm + kCurvePoints,
  kRoomOxygenPpmMin,
  kValveSlowUs,
  kValveSlowCountMax,
  kOpenBudgetUs,
  kOpenSharePpm,
  kLandingErrorMaxUm,
  kSlots,
};

inline constexpr int kParameterSlots = static_cast<int>(Parameter::kSlots);

constexpr int slot(Parameter parameter, int entry = 0) {
  return static_cast<int>(parameter) + entry;
}

/// The channel on which a parameter slot is staged.
constexpr Channel recipe_channel(int parameter_slot) {
  return static_cast<Channel>(number(Channel::kRecipeFirst) + parameter_slot);
}

enum class WaitSource : std::uint8_t { kFixed, kBeltSpeed, kPlace, kQueue };
enum class PlaceSource : std::uint8_t { kNone, kContainersAhead, kHeadNumber };
enum class Transport : std::uint8_t { kLocked, kQueued };

/// What a controller is loaded with: one int32 a slot.
class RecipeValues {
 public:
  constexpr std::int32_t get(Parameter parameter, int entry = 0) const {
    return values_[static_cast<unsigned>(slot(parameter, entry))];
  }
  constexpr std::int32_t at_slot(int index) const { return values_[static_cast<unsigned>(index)]; }
  constexpr void set(Parameter parameter, std::int32_t value) { set_slot(slot(parameter), value); }
  constexpr void set_slot(int index, std::int32_t value) {
    values_[static_cast<unsigned>(index)] = value;
  }

  /// The value a commit carries: CRC-32 of every slot, little-endian, in slot order. A commit must
  /// be a change from 0, so a CRC of 0 is sent as 1.
  constexpr std::int32_t commit_value() const {
    Crc32 crc;
    for (const std::int32_t value : values_) crc.add_little_endian(value);
    return crc.value() == 0 ? 1 : static_cast<std::int32_t>(crc.value());
  }

  friend constexpr bool operator==(const RecipeValues&, const RecipeValues&) = default;

 private:
  std::array<std::int32_t, kParameterSlots> values_{};
};

}  // namespace rimebench
