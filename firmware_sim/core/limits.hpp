#pragma once

/// The ranges of the parameter table, projected at compile time: the table's documentation text
/// stays out of the image. The static_asserts prove that the core's products fit 64 bits.
///
///   what              unit  farthest                         of 9.2e18
///   time              us    a century is 3.2e15              kNever is 2.3e18; adding fits
///   belt position     um    a century at kSpeedMax: 3.2e17   adding every distance fits
///   elapsed time      us    whole periods are taken out      times step: 8.6e10 * 5e6 = 4.3e17
///   distance ahead    um    kAheadMax 5.5e6                  times period: 4.8e17
///   lead              us    kLeadMax 2.9e6                   times step: 1.5e13
///   lateness          us    kPeriodMax 8.6e10                times kSpeedMax: 8.6e18
///   dose, curves      ug    1e7, waits 6e8                   times ppm: 2e14, 1.2e16
///   counters          1     one a container or edge          stay at 2.1e9
///
/// Every product goes through checked_product or mul_div, which panic rather than wrap. Properties
/// run any accepted recipe, its ends most, from time 0 and a century on, with UBSan.

#include <array>
#include <cstdint>

#include "firmware_sim/contract/parameter_table.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

struct SlotRange {
  std::int32_t min;
  std::int32_t max;
};

inline constexpr auto kSlotRanges = [] {
  std::array<SlotRange, kParameterSlots> ranges{};
  for (const ParameterRow& row : kParameterTable) {
    for (int entry = 0; entry < row.entries; ++entry) {
      ranges[static_cast<unsigned>(slot(row.parameter, entry))] = {row.min, row.max};
    }
  }
  return ranges;
}();

consteval std::int64_t max_of(Parameter parameter) {
  return kSlotRanges[static_cast<unsigned>(slot(parameter))].max;
}

/// The longest pulse period the belt remembers, and the longest run.
inline constexpr Duration kPeriodMax{24LL * 3600 * kMicrosPerSecond};

/// Faster than any belt: pulses closer than this are noise.
inline constexpr Speed kSpeedMax{100'000'000};

/// Shares and multiples come in millionths.
inline constexpr std::int64_t kPpm = 1'000'000;

inline constexpr std::int64_t kMicrometresPerMetre = 1'000'000;
/// Weight of liquid nitrogen at its normal boiling point: 807 kg/m3 times 9.807 m/s2.
inline constexpr std::int64_t kLiquidPascalPerMetre = 7'914;

consteval bool product_fits(std::int64_t a, std::int64_t b) {
  std::int64_t product{};
  return !__builtin_mul_overflow(a, b, &product);
}

/// The belt's step: one pulse pitch, or one second's travel where there is no pulse.
inline constexpr std::int64_t kStepMax = max_of(Parameter::kLinePulsePitchUm) >
                                                 max_of(Parameter::kLineSpeedUmPerS)
                                             ? max_of(Parameter::kLinePulsePitchUm)
                                             : max_of(Parameter::kLineSpeedUmPerS);
/// Farthest a container's shot position lies ahead of the belt when its edge is accepted.
inline constexpr std::int64_t kAheadMax =
    max_of(Parameter::kSensorToNozzleUm) + max_of(Parameter::kEdgeToCentreUm);
/// Earliest a shot is opened before the container arrives.
inline constexpr std::int64_t kLeadMax =
    max_of(Parameter::kFlightUs) + max_of(Parameter::kValveOpenDelayUs) +
    max_of(Parameter::kOpenUsMax) + max_of(Parameter::kValveCloseDelayUs);

static_assert(product_fits(kStepMax, kPeriodMax.raw), "elapsed time times step");
static_assert(product_fits(kAheadMax, kPeriodMax.raw), "distance ahead times period");
static_assert(product_fits(kLeadMax, kStepMax), "lead times step");
static_assert(product_fits(kPeriodMax.raw, kSpeedMax.raw), "lateness times speed");
static_assert(product_fits(max_of(Parameter::kNozzleToSeamUm), kMicrosPerSecond), "belt wait");
static_assert(product_fits(max_of(Parameter::kDoseUg), max_of(Parameter::kWaitCurvePpm)), "dose");
static_assert(product_fits(max_of(Parameter::kWaitCurveUs), max_of(Parameter::kWaitCurvePpm)),
              "wait curve");
static_assert(product_fits(2 * max_of(Parameter::kAccelerationMaxUmPerS2),
                           2 * max_of(Parameter::kNozzleToSeamUm)) &&
                  product_fits(2 * kSpeedMax.raw, kSpeedMax.raw),
              "each half of the squared speed at the end of a stretch, twice over");
static_assert(product_fits(2 * max_of(Parameter::kNozzleToSeamUm), kMicrosPerSecond),
              "twice a stretch over a speed");
static_assert(product_fits(kPeriodMax.raw, max_of(Parameter::kPulseJumpMaxPpm) + 1'000'000),
              "a pulse period and its jump");
static_assert(product_fits(max_of(Parameter::kStreamFlowUgPerS), max_of(Parameter::kOpeningUm)),
              "dose in a stream");
inline constexpr std::int64_t kMassMost =
    max_of(Parameter::kDoseUg) * max_of(Parameter::kWaitCurvePpm) / kPpm;
static_assert(product_fits(kMassMost, max_of(Parameter::kHeadCurvePpm)), "mass times head");
static_assert(product_fits(kMassMost * max_of(Parameter::kHeadCurvePpm) / kPpm, kPpm) &&
                  max_of(Parameter::kStreamDoseErrorMaxPpm) <= kPpm,
              "the dose in a stream and its error in ppm");
static_assert(product_fits(max_of(Parameter::kOpenCurveUg), max_of(Parameter::kOpenCurveUs)),
              "open curve");
static_assert(product_fits(INT32_MAX, kLiquidPascalPerMetre), "liquid column");
static_assert(product_fits(max_of(Parameter::kHeadCurvePa), max_of(Parameter::kHeadCurvePpm)),
              "head curve");
static_assert(product_fits(max_of(Parameter::kOpenUsMax), max_of(Parameter::kHeadCurvePpm)),
              "open time times head");
static_assert(product_fits(kPeriodMax.raw, max_of(Parameter::kOpenSharePpm)), "open budget");
/// A shot is fired only while the belt is seen to move: at most 10^12 us after its last pulse.
static_assert(product_fits(1'000'000'000'000, 4LL * max_of(Parameter::kLinePulsePitchUm)),
              "a landing between two pulses, three of them missing");

}  // namespace rimebench
