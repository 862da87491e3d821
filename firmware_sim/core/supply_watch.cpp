#include "firmware_sim/core/supply_watch.hpp"

#include "firmware_sim/core/limits.hpp"

namespace rimebench {
namespace {

bool proven_cold(const HeadSamples& samples, const SupplyLimits& limits) {
  const std::int32_t temperature = samples.body_temperature_mk;
  const bool cold = limits.body_temperature_mk_max == 0 ||
                    (0 < temperature && temperature <= limits.body_temperature_mk_max);
  return cold && samples.level_um >= limits.level_um_min;
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
  cold_ = proven_cold(samples, limits);
  gain_ = gain_of(samples, limits.head_curve);
  if (gain_.fit) out_until_ = kNever;
}

void SupplyWatch::count(Instant now, const SupplyLimits& limits, bool in_production) {
  const bool out = in_production && !gain_.fit && limits.head_out_max > 0_us;
  if (!out) out_until_ = kNever;
  if (out && out_until_ == kNever) out_until_ = now + limits.head_out_max;
}

}  // namespace rimebench
