#include "firmware_sim/core/belt.hpp"

#include "firmware_sim/core/limits.hpp"

namespace rimebench {
namespace {

constexpr Duration kOneSecond{kMicrosPerSecond};

/// A longer silence is a belt that stood, not pulses that were lost.
constexpr std::int64_t kMissingMax = 3;

/// What slows evenly lengthens no period by more than 1 / (sqrt(2) - 1) = 2.42 times the last.
constexpr std::int64_t kCoastMax = 4;

/// Of pulses that come every `usual`, in one period.
std::int64_t missing_in(Duration period, Duration usual) {
  return (2 * period.raw + usual.raw) / (2 * usual.raw) - 1;
}

/// One period is longer than another by more than a belt at working speed can do at once.
bool jumps(Duration from, Duration to, const Recipe& recipe) {
  return recipe.pulse_jump_max > 0 && checked_product(to.raw - from.raw, 1'000'000) >
                                          checked_product(from.raw, recipe.pulse_jump_max);
}

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

PulseVerdict Belt::on_pulse(Instant now, const Recipe& recipe, bool running) {
  if (!pulsed_) return PulseVerdict::kPlausible;
  const Duration since_last = now - since_;
  const Duration period = since_last < kPeriodMax ? since_last : kPeriodMax;
  const bool check = recipe.implausible_max > 0 && pulse_seen_;
  if (check && too_soon(period, recipe)) return PulseVerdict::kExtra;
  std::int64_t missing = 0;
  std::int64_t missed = 0;  // before the last pulse
  if (check && running && ran_through_) {
    missed = pulses_missed_before(period, recipe);
    missing = pulses_missing(period, recipe);
  } else {
    slow_ = 0;
  }
  moved_ = moves(period);
  ran_through_ = running;
  pulse_before_ = since_;
  if (missing + missed > 0) {
    restart(now, origin_ + Length{step_.raw * (missing + missed + 1)},
            Duration{period.raw / (missing + 1)});
    return PulseVerdict::kLost;
  }
  restart(now, origin_ + step_, pulse_seen_ ? period : 0_us);
  pulse_seen_ = true;
  return check && !running && !moved_ ? PulseVerdict::kByHand : PulseVerdict::kPlausible;
}

/// Between the last pulse and one a period later.
bool Belt::moves(Duration period) const {
  return ran_through_ || (moved_ && period.raw <= kCoastMax * period_.raw);
}

bool Belt::too_soon(Duration period, const Recipe& recipe) const {
  if (recipe.speed_max == Speed{0}) return false;
  return checked_product(period.raw, recipe.speed_max.raw) <
         checked_product(step_.raw, kMicrosPerSecond);
}

/// A long period among short ones. A second one in a row is a belt that has really slowed, or as
/// many pulses lost again, which the next ones tell.
std::int64_t Belt::pulses_missing(Duration period, const Recipe& recipe) {
  const bool at_speed = period_ > 0_us && last_speed() >= recipe.speed_min;
  const bool jumped = at_speed && jumps(period_, period, recipe);
  if (jumped && jumped_) slow_ = 1;
  jumped_ = jumped && !jumped_;
  if (!jumped_) return 0;
  const std::int64_t missing = missing_in(period, period_);
  return missing <= kMissingMax ? missing : 0;
}

/// No belt is back at its speed at once: those that were taken for a slower belt's were pulses with
/// others missing between them.
std::int64_t Belt::pulses_missed_before(Duration period, const Recipe& recipe) {
  if (slow_ == 0) return 0;
  const int slow = slow_;
  slow_ = slow_ < kMissingMax ? slow_ + 1 : 0;
  if (!jumps(period, period_, recipe)) return 0;
  slow_ = 0;
  const std::int64_t missed = slow * missing_in(period_, period);
  return missed <= kMissingMax ? missed : 0;
}

void Belt::on_run_permit(Instant now, bool running) {
  if (!running) ran_through_ = false;
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

Speed Belt::last_speed() const { return speed(since_); }

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
