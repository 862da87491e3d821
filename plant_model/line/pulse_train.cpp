#include "plant_model/line/pulse_train.hpp"

#include <algorithm>

#include "plant_model/line/sources.hpp"

namespace rimebench {

PulseTrain::PulseTrain(const PlantSpec& spec)
    : spec_(&spec), pitch_{spec.line.controls.line_pulse_pitch_um}, next_(pitch_) {}

bool PulseTrain::pass(Instant at, bool backwards, InputQueue& inputs) {
  if (backwards) {
    next_ = last_;
    last_ -= pitch_;
  } else {
    last_ = next_;
    next_ += pitch_;
  }
  const std::int64_t pulse = passed_++;
  const Happenings& happens = spec_->happens;
  again_at_ = kNever;
  const Mishap& lost = happens.of(MishapKind::kPulseLost);
  if (happens_to(spec_->seed, Source::kPulseLost, pulse, lost.share_ppm)) return true;
  change(at, inputs);
  const Mishap& doubled = happens.of(MishapKind::kPulseDoubled);
  if (!happens_to(spec_->seed, Source::kPulseDoubled, pulse, doubled.share_ppm)) return false;
  again_at_ = at + doubled.after;
  return true;
}

void PulseTrain::come_again(Instant at, InputQueue& inputs) {
  again_at_ = kNever;
  change(at, inputs);
}

void PulseTrain::slip(double percent) {
  const double pitch = static_cast<double>(spec_->line.controls.line_pulse_pitch_um);
  pitch_ =
      Length{std::max<std::int64_t>(1, static_cast<std::int64_t>(pitch * (1.0 - percent / 100.0)))};
  next_ = last_ + pitch_;
}

void PulseTrain::change(Instant at, InputQueue& inputs) {
  level_ ^= 1;
  inputs.put({at, Channel::kLinePulse, level_});
}

}  // namespace rimebench
