#pragma once

#include <cstdint>
#include <optional>

#include "firmware_sim/core/recipe.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// The samples of the dosing head; 0 until one has arrived.
struct HeadSamples {
  std::int32_t level_um = 0;
  std::int32_t pressure_pa = 0;
  std::int32_t body_temperature_mk = 0;
};

/// What the head's pressure means for a dose.
struct HeadGain {
  std::int64_t open_ppm = 1'000'000;  ///< the open time's multiple
  bool fit = true;                    ///< false: outside the head curve, nothing may be dosed
};

/// Judges the dosing head by its samples: cold or not, and how hard it drives the liquid out.
/// A sample that never arrives is 0, which proves nothing: neither cold nor on the head curve.
class SupplyWatch {
 public:
  void settle(const HeadSamples& samples, const SupplyLimits& limits);
  /// `in_production`: doses are being made, so that a head outside its curve is a matter of time.
  void count(Instant now, const SupplyLimits& limits, bool in_production);

  /// The dosing body is cold enough and covered, as far as sensors for that are wired.
  bool cold() const { return cold_; }
  /// What the dosing body's sensor alone says; nothing if none is wired.
  std::optional<bool> body_cold() const { return body_cold_; }
  HeadGain gain() const { return gain_; }
  /// Outside the curve for head_out_max.
  bool out_too_long(Instant now) const { return now >= out_until_; }
  /// The next instant at which time alone makes out_too_long() true.
  Instant due() const { return out_until_; }
  void reset() { out_until_ = kNever; }

 private:
  bool cold_ = false;
  std::optional<bool> body_cold_;
  HeadGain gain_;
  Instant out_until_ = kNever;
};

}  // namespace rimebench
