#include "firmware_sim/core/shot_timer.hpp"

#include "firmware_sim/core/dose.hpp"
#include "firmware_sim/core/mode_table.hpp"

namespace rimebench {
namespace {

/// The belt position at which the container's centre is under the nozzle.
Length under_nozzle(const Container& container, const Recipe& recipe) {
  return container.centre + recipe.sensor_to_nozzle;
}

/// True if a shot fired `lateness` after its time still lands inside the window.
bool in_window(Duration lateness, Speed speed, const Recipe& recipe) {
  return checked_product(lateness.raw, speed.raw) <=
         checked_product(recipe.landing_late_max.raw, kMicrosPerSecond);
}

}  // namespace

/// What is to become of the next container at this instant.
struct ShotTimer::Verdict {
  enum class Kind : std::uint8_t { kWait, kFire, kRefuse } kind;
  Instant due = kNever;              ///< kWait: until then, or until the next pulse
  std::optional<Counter> refusal{};  ///< kRefuse: why, if it is news
  Dose dose{};                       ///< kFire
};

ShotTimer::Verdict ShotTimer::judge(const Moment& moment, Mode mode,
                                    const Container& container) const {
  using Kind = Verdict::Kind;
  const auto refuse = [](std::optional<Counter> why) { return Verdict{Kind::kRefuse, {}, why}; };
  const auto wait = [](Instant until) { return Verdict{Kind::kWait, until}; };
  const Recipe& recipe = moment.recipe;

  const Speed speed = moment.belt.speed(moment.now);
  const Dose dose = dose_for(recipe, container.place, speed);
  const Instant open_at =
      moment.belt.arrival(under_nozzle(container, recipe)) - shot_lead(recipe, dose.open);
  // Where it coasted to is not known, so a container that stands under the nozzle is not dosed
  // later.
  const Length edge_under_nozzle = under_nozzle(container, recipe) - recipe.edge_to_centre;
  if (moment.belt.held() && moment.position >= edge_under_nozzle) {
    return container.flagged ? refuse(std::nullopt) : refuse(Counter::kNotRunning);
  }
  if (open_at >= moment.belt.next_pulse_expected()) return wait(kNever);
  if (open_at > moment.now) return wait(open_at);

  if (container.flagged) return refuse(std::nullopt);
  if (!may_dose(mode)) return refuse(Counter::kNotRunning);
  if (speed == Speed{0} || speed < recipe.speed_min) return refuse(Counter::kTooSlow);
  if (!in_window(moment.now - open_at, speed, recipe)) return refuse(Counter::kTooLate);
  if (!dose.in_range) return refuse(Counter::kDoseOutOfRange);
  const Instant rested = rested_at(recipe);
  if (moment.now >= rested) return {Kind::kFire, {}, {}, dose};
  if (!in_window(rested - open_at, speed, recipe)) return refuse(Counter::kRestTooShort);
  return wait(rested);
}

void ShotTimer::settle(const Moment& moment, Mode mode, ContainerQueue& queue, Counters& counters) {
  if (moment.now >= close_at_ || !may_dose(mode)) end(moment.now, queue, counters);

  next_due_ = kNever;
  for (Container* next = queue.next_to_dose(); next != nullptr; next = queue.next_to_dose()) {
    if (moment.belt.surely_past_next_pulse(under_nozzle(*next, moment.recipe),
                                           moment.recipe.lead_max)) {
      return;
    }
    const Verdict verdict = judge(moment, mode, *next);
    if (verdict.kind == Verdict::Kind::kWait) {
      next_due_ = verdict.due;
      return;
    }
    if (verdict.kind == Verdict::Kind::kFire) {
      dosing_ = queue.next_to_dose_number();
      close_at_ = moment.now + verdict.dose.open;
      next->dosed = true;
      next->landing = moment.now + shot_lead(moment.recipe, verdict.dose.open);
      next->expected_wait = verdict.dose.expected_wait;
    } else {
      next->flagged = true;
      if (verdict.refusal) counters.add(*verdict.refusal);
    }
    queue.decide();
  }
}

void ShotTimer::end(Instant now, ContainerQueue& queue, Counters& counters) {
  if (!dosing_) return;
  if (now < close_at_) {
    counters.add(Counter::kShotCut);
    if (Container* container = queue.find(*dosing_)) container->flagged = true;
  }
  dosing_.reset();
  closed_at_ = now;
}

Instant ShotTimer::rested_at(const Recipe& recipe) const {
  return (dosing_ ? close_at_ : closed_at_) + recipe.rest_min;
}

Instant ShotTimer::due() const { return dosing_ ? earlier(close_at_, next_due_) : next_due_; }

}  // namespace rimebench
