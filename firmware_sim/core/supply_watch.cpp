#include "firmware_sim/core/supply_watch.hpp"

#include "firmware_sim/core/limits.hpp"

namespace rimebench {
namespace {

std::optional<bool> cold_body(std::int32_t temperature_mk, std::int32_t max_mk) {
  if (max_mk == 0) return std::nullopt;
  return 0 < temperature_mk && temperature_mk <= max_mk;
}

/// Gauge pressure and the liquid's own weight, in Pa.
std::int64_t head_of(const HeadSamples& samples) {
  return samples.pressure_pa +
         mul_div_floor(samples.level_um, kLiquidPascalPerMetre, kMicrometresPerMetre);
}

HeadGain gain_of(const HeadSamples& samples, const Curve& curve) {
  if (curve.empty()) return {};
  const std::int64_t head = head_of(samples);
  return {curve.at(head), curve.spans(head)};
}

}  // namespace

void SupplyWatch::settle(const HeadSamples& samples, const SupplyLimits& limits) {
  body_cold_ = cold_body(samples.body_temperature_mk, limits.body_temperature_mk_max);
  cold_ = body_cold_.value_or(true) && samples.level_um >= limits.level_um_min;
  gain_ = gain_of(samples, limits.head_curve);
  if (gain_.fit) out_until_ = kNever;
}

void SupplyWatch::count(Instant now, const SupplyLimits& limits, bool in_production) {
  const bool out = in_production && !gain_.fit && limits.head_out_max > 0_us;
  if (!out) out_until_ = kNever;
  if (out && out_until_ == kNever) out_until_ = now + limits.head_out_max;
}

}  // namespace rimebench
