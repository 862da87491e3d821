#include "tests/properties/belt_bounds.hpp"

#include <algorithm>

namespace rimebench::properties {
namespace {

constexpr std::int64_t kFastest = 100'000'000;  ///< no belt is believed faster, um/s

/// So many missing pulses are put in at once, at most.
constexpr std::int64_t kFilledIn = 3;

}  // namespace

void BeltBounds::configure(Instant now, const RecipeValues& recipe, bool permit) {
  const std::int64_t pitch_um = recipe.get(Parameter::kLinePulsePitchUm);
  const std::int64_t line = recipe.get(Parameter::kLineSpeedUmPerS);
  const bool checked = recipe.get(Parameter::kImplausibleRowMax) > 0;
  may_drop_ = checked && recipe.get(Parameter::kSpeedMaxUmPerS) > 0;
  may_fill_in_ = checked && recipe.get(Parameter::kPulseJumpMaxPpm) > 0;
  if (pitch_um == pitch_um_ && (pitch_um > 0 || line == line_um_per_s_)) return;
  origin_um_ = least_um(now);
  slack_um_ += std::max(pitch_um, pitch_um_) + 2;
  pitch_um_ = pitch_um;
  line_um_per_s_ = line;
  since_ = now;
  permit_ = permit;
  pulses_ = 0;
  period_us_ = 0;
}

void BeltBounds::on_pulse(Instant now) {
  if (pitch_um_ == 0) return;
  if (++pulses_ > 1) period_us_ = (now - since_).raw;
  since_ = now;
  (may_drop_ ? slack_um_ : origin_um_) += pitch_um_;
  if (may_fill_in_) slack_um_ += kFilledIn * pitch_um_;
}

void BeltBounds::on_permit(Instant now, bool permit) {
  if (pitch_um_ > 0) return;
  origin_um_ = least_um(now);
  slack_um_ += 1;
  since_ = now;
  permit_ = permit;
}

std::int64_t BeltBounds::least_um(Instant now) const {
  if (pitch_um_ > 0 || !permit_) return origin_um_;
  const std::int64_t us = (now - since_).raw;
  return origin_um_ + us / 1'000'000 * line_um_per_s_ + us % 1'000'000 * line_um_per_s_ / 1'000'000;
}

std::int64_t BeltBounds::speed_um_per_s(Instant now) const {
  if (pitch_um_ == 0) return permit_ ? line_um_per_s_ : 0;
  if (pulses_ < 2) return 0;
  // Slower than between the last two pulses if the next one is overdue.
  const std::int64_t us = std::max(period_us_, (now - since_).raw);
  const std::int64_t steps = may_fill_in_ ? 1 + kFilledIn : 1;
  return std::min(kFastest, steps * pitch_um_ * 1'000'000 / us + 1);
}

}  // namespace rimebench::properties
