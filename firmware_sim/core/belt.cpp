#include "firmware_sim/core/belt.hpp"

#include "firmware_sim/core/limits.hpp"

namespace rimebench {
namespace {

constexpr Duration kOneSecond{kMicrosPerSecond};

/// a * b / c rounded down, c > 0, b and c within the static_asserts of limits.hpp: whole multiples
/// of c are taken out first, so the size of a does not matter. Mostly there are none to take out,
/// and one division does.
std::int64_t scaled_floor(std::int64_t a, std::int64_t b, std::int64_t c) {
  if (0 <= a && a < c) return mul_div_floor(a, b, c);
  return a / c * b + mul_div_floor(a % c, b, c);
}

}  // namespace

void Belt::configure(Instant now, const Recipe& recipe, bool running) {
  const bool pulsed = recipe.pulse_pitch > 0_um;
  const Length step = pulsed ? recipe.pulse_pitch : Length{recipe.line_speed.raw};
  if (pulsed == pulsed_ && step == step_) return;
  const Length position_now = position(now);
  pulsed_ = pulsed;
  pulse_seen_ = false;
  step_ = step;
  restart(now, position_now, !pulsed_ && running ? kOneSecond : 0_us);
}

void Belt::on_pulse(Instant now) {
  if (!pulsed_) return;
  const Duration since_last = now - since_;
  const Duration period = since_last < kPeriodMax ? since_last : kPeriodMax;
  restart(now, origin_ + step_, pulse_seen_ ? period : 0_us);
  pulse_seen_ = true;
}

void Belt::on_run_permit(Instant now, bool running) {
  if (!pulsed_) restart(now, position(now), running ? kOneSecond : 0_us);
}

void Belt::restart(Instant now, Length position, Duration period) {
  since_ = now;
  origin_ = position;
  period_ = period;
}

Length Belt::position(Instant now) const {
  const Duration elapsed = now - since_;
  if (elapsed == 0_us || period_ == 0_us) return origin_;
  if (pulsed_ && elapsed >= period_) return origin_ + step_ - 1_um;
  return origin_ + Length{scaled_floor(elapsed.raw, step_.raw, period_.raw)};
}

Speed Belt::speed(Instant now) const {
  if (period_ == 0_us) return {0};
  const Duration elapsed = now - since_;
  const bool overdue = pulsed_ && elapsed > period_;
  const Duration period = overdue ? elapsed : period_;
  const Speed speed{mul_div_floor(step_.raw, kMicrosPerSecond, period.raw)};
  return speed < kSpeedMax ? speed : kSpeedMax;
}

Instant Belt::time_of(Length place) const {
  if (place == kNowhere || (pulsed_ && place >= origin_ + step_)) return kNever;
  return arrival(place);
}

Instant Belt::arrival(Length place) const {
  const Length ahead = place - origin_;
  if (period_ == 0_us) return ahead <= 0_um ? since_ : kNever;
  // Rounded up: the first microsecond at which position() is there.
  return since_ - Duration{scaled_floor(-ahead.raw, period_.raw, step_.raw)};
}

Instant Belt::next_pulse_expected() const {
  return pulsed_ && period_ > 0_us ? since_ + period_ : kNever;
}

bool Belt::surely_past_next_pulse(Length place, Duration lead) const {
  if (!pulsed_ || period_ == 0_us) return false;
  const Length past_pulse = place - origin_ - step_;
  return checked_product(past_pulse.raw, period_.raw) >= checked_product(lead.raw, step_.raw);
}

}  // namespace rimebench
