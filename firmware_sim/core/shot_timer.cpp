#include "firmware_sim/core/shot_timer.hpp"

#include "firmware_sim/core/seam_forecast.hpp"

namespace rimebench {
namespace {

/// The belt position at which the container's centre is under the nozzle.
Length under_nozzle(const Container& container, const Recipe& recipe) {
  return container.centre + recipe.sensor_to_nozzle;
}

/// When a shot this long is to open; kNever while that has to wait for a pulse or for the permit.
Instant opening_time(const Moment& moment, const Container& container, Duration open) {
  const Length centre = under_nozzle(container, moment.recipe);
  // Where a held belt coasted to is not known: what stands under the nozzle is due now, and refused
  // because the line stands, rather than dosed from its old schedule later.
  const bool stands_under_nozzle = moment.position >= centre - moment.recipe.edge_to_centre;
  if (moment.belt.held() && stands_under_nozzle) return moment.now;

  const Instant arrival = moment.belt.arrival(centre);
  if (arrival == kNever) return kNever;
  const Instant open_at = arrival - shot_lead(moment.recipe, open);
  return open_at < moment.belt.next_pulse_expected() ? open_at : kNever;
}

}  // namespace

bool in_window(Duration lateness, Speed speed, const Recipe& recipe) {
  return checked_product(lateness.raw, speed.raw) <=
         checked_product(recipe.landing_late_max.raw, kMicrosPerSecond);
}

void ShotTimer::settle(const Moment& moment, Mode mode, ContainerQueue& queue, Counters& counters) {
  if (moment.now >= close_at_ || !may_dose(mode)) end(moment.now, queue, counters);

  while (Container* next = queue.next_to_dose()) {
    if (!planned(moment, queue)) plan(moment, *next, queue);
    if (moment.now < plan_->act_at) return;
    if (moment.now > moment.belt.next_pulse_expected()) {
      plan_->act_at = kNever;  // the belt slows or stands: the next pulse plans anew
      return;
    }

    const std::optional<Counter> why = refusal(moment, mode);
    if (!next->flagged && !why && moment.now < rested_at(moment.recipe)) {
      plan_->act_at = rested_at(moment.recipe);
      return;
    }
    if (!next->flagged && why) counters.add(*why);
    if (why) next->flagged = true;
    next->landing = moment.now;
    if (!next->flagged) fire(moment.now, moment.recipe, *next, counters);
    queue.decide();
    plan_.reset();
  }
  plan_.reset();
}

bool ShotTimer::planned(const Moment& moment, const ContainerQueue& queue) const {
  return plan_ && plan_->container == queue.next_to_dose_number() &&
         plan_->made_at >= moment.belt.changed_at();
}

void ShotTimer::plan(const Moment& moment, const Container& container,
                     const ContainerQueue& queue) {
  plan_ = Plan{queue.next_to_dose_number(), moment.now, kNever, kNever, false, {}};
  const Recipe& recipe = moment.recipe;
  const Length centre = under_nozzle(container, recipe);
  if (moment.belt.surely_past_next_pulse(centre, recipe.lead_max)) return;
  const Instant arrival = moment.belt.arrival(centre);
  const Instant landing = arrival == kNever ? moment.now : later(arrival, moment.now);
  const WaitForecast forecast = forecast_wait(moment, queue, container.place, landing);
  plan_->wait_capped = forecast.capped;
  plan_->dose = at_head(dose_for(recipe, forecast.wait), moment.head, recipe);
  plan_->open_at = plan_->act_at = opening_time(moment, container, plan_->dose.open);
}

/// Why the planned shot, now due, must not be fired.
std::optional<Counter> ShotTimer::refusal(const Moment& moment, Mode mode) const {
  if (!may_dose(mode)) return Counter::kNotRunning;
  const Speed speed = moment.belt.speed(moment.now);
  if (speed == Speed{0} || speed < moment.recipe.speed_min) return Counter::kTooSlow;
  if (!in_window(moment.now - plan_->open_at, speed, moment.recipe)) return Counter::kTooLate;
  if (!moment.head.fit) return Counter::kHeadUnfit;
  if (!plan_->dose.in_range) return Counter::kDoseOutOfRange;
  const Instant rested = rested_at(moment.recipe);
  const bool rests_too_long =
      moment.now < rested && !in_window(rested - plan_->open_at, speed, moment.recipe);
  return rests_too_long ? std::optional(Counter::kRestTooShort) : std::nullopt;
}

void ShotTimer::fire(Instant now, const Recipe& recipe, Container& container, Counters& counters) {
  if (plan_->wait_capped) counters.add(Counter::kWaitCapped);
  dosing_ = plan_->container;
  close_at_ = now + plan_->dose.open;
  container.dosed = true;
  container.landing = now + shot_lead(recipe, plan_->dose.open);
  container.expected_wait = plan_->dose.expected_wait;
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

Instant ShotTimer::due() const {
  const Instant act_at = plan_ ? plan_->act_at : kNever;
  return dosing_ ? earlier(close_at_, act_at) : act_at;
}

bool ShotTimer::in_reach(const Belt& belt, const Recipe& recipe,
                         const ContainerQueue& queue) const {
  if (plan_ && plan_->act_at != kNever) return true;
  const Container* next = queue.next_to_dose();
  return next != nullptr &&
         !belt.surely_past_next_pulse(under_nozzle(*next, recipe), recipe.lead_max);
}

}  // namespace rimebench
