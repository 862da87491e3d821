#pragma once

#include <cstdint>
#include <optional>

namespace rimebench {

/// What a number measures and in what unit; the page shows it in the unit that its reader chose.
enum class Measure : std::uint8_t {
  kPressureKpa,  ///< gauge
  kMassMg,
  kMassG,
  kMassKg,
  kTemperatureC,
  kLengthMm,
  kLengthUm,
  kTimeUs,
  kTimeMs,
  kTimeS,
  kTimeMin,
  kVolumeMl,
  kVolumeL,
  kVolumeM3,
  kSpeedMmPerS,
  kRatePerMin,
  kFlowGPerS,
  kFlowKgPerH,
  kSharePercent,
  kTpoPpb,
  kCount,
};
const char* to_text(Measure quantity);

struct Figure {
  double value{};  ///< not finite: shown as none
  Measure quantity{};
  std::optional<int> digits{};  ///< decimals in this unit
};

}  // namespace rimebench
