#include "firmware_sim/core/stream_timer.hpp"

#include "firmware_sim/core/limits.hpp"
#include "firmware_sim/core/seam_forecast.hpp"

namespace rimebench {
namespace {

Length half_opening(const Recipe& recipe) { return Length{recipe.opening.raw / 2}; }

/// When the valve is to open for this container; kNever while that has to wait for a pulse.
Instant opening_time(const Moment& moment, const Container& container) {
  const Length front =
      container.centre + moment.recipe.sensor_to_nozzle - half_opening(moment.recipe);
  const Instant open_at = moment.belt.arrival(front) - moment.recipe.stream_open_lead;
  return open_at < moment.belt.next_pulse_expected() ? open_at : kNever;
}

/// When the valve may close behind the container whose centre is under the nozzle at `centre`,
/// foreseen at the present speed.
Instant closing_time(const Moment& moment, Length centre) {
  const Instant rear = moment.belt.arrival(centre + half_opening(moment.recipe));
  return rear - moment.recipe.stream_close_lead;
}

/// With a pulse overdue it is not known how far the containers have come: true if the belt, had it
/// gone on, would still be within the window of the place where the pulse was due.
bool in_place(const Moment& moment) {
  const Speed last = moment.belt.speed(moment.belt.changed_at());
  return in_window(moment.now - moment.belt.next_pulse_expected(), last, moment.recipe);
}

bool dose_in_range(const Moment& moment, Mass needed) {
  const Recipe& recipe = moment.recipe;
  const Speed speed = moment.belt.speed(moment.now);
  const std::int64_t gets = mul_div_floor(recipe.stream_flow, recipe.opening.raw, speed.raw);
  // A head that needs twice the open time gives half the flow: as if twice the dose were needed.
  const std::int64_t asked = mul_div_floor(needed.raw, moment.head.open_ppm, kPpm);
  const std::int64_t error = gets < asked ? asked - gets : gets - asked;
  if (error > asked) return false;
  return checked_product(error, kPpm) <= checked_product(asked, recipe.stream_dose_error_max);
}

}  // namespace

void StreamTimer::settle(const Moment& moment, bool going, Mode mode, ContainerQueue& queue,
                         Counters& counters) {
  if (!may_dose(mode)) end(moment.now, queue, counters);
  open_at_ = kNever;
  while (Container* next = going ? queue.next_to_dose() : nullptr) {
    const Instant due = opening_time(moment, *next);
    if (moment.now < due) {
      open_at_ = due;
      break;
    }
    if (moment.now > moment.belt.next_pulse_expected()) break;  // the next pulse plans anew
    const Instant rested = closed_at_ + moment.recipe.rest_min;
    const Instant landing = due + moment.recipe.stream_open_lead;
    const WaitForecast forecast = forecast_wait(moment, queue, next->place, landing);
    const Dose dose = dose_for(moment.recipe, forecast.wait);
    std::optional<Counter> why = refusal(moment, mode, due, dose, *next);
    if (!next->flagged && !why && !open() && moment.now < rested) {
      if (in_window(rested - due, moment.belt.speed(moment.now), moment.recipe)) {
        open_at_ = rested;
        break;
      }
      why = Counter::kRestTooShort;
    }
    if (!next->flagged && why) counters.add(*why);
    if (why) next->flagged = true;
    next->landing = moment.now;
    if (!next->flagged) {
      if (!open()) counters.add(Counter::kStreamBegun);
      if (forecast.capped) counters.add(Counter::kWaitCapped);
      take(moment, dose, *next, queue.next_to_dose_number());
    }
    queue.decide();
  }
  if (!open()) return;
  check_doses(moment, queue, counters);
  plan_end(moment, going, queue);
  if (moment.now < close_at_) return;
  if (moment.now > moment.belt.next_pulse_expected() && !in_place(moment)) passed_ = kNever;
  end(moment.now, queue, counters);
}

std::optional<Counter> StreamTimer::refusal(const Moment& moment, Mode mode, Instant due,
                                            const Dose& dose, const Container& container) const {
  if (!may_dose(mode)) return Counter::kNotRunning;
  const Speed speed = moment.belt.speed(moment.now);
  if (speed < moment.recipe.speed_min) return Counter::kTooSlow;
  if (!in_window(moment.now - due, speed, moment.recipe)) return Counter::kTooLate;
  if (!moment.head.fit) return Counter::kHeadUnfit;
  if (!dose_in_range(moment, dose.mass)) return Counter::kStreamDoseWrong;
  // It would not have passed when the stream has to end.
  const Instant closing = closing_time(moment, container.centre + moment.recipe.sensor_to_nozzle);
  const Instant began = open() ? opened_at_ : moment.now;
  if (closing > began + moment.recipe.stream_max) return Counter::kStreamDoseWrong;
  return std::nullopt;
}

void StreamTimer::take(const Moment& moment, const Dose& dose, Container& container,
                       ContainerNumber number) {
  if (!open()) opened_at_ = moment.now;
  newest_ = number;
  rear_seen_ = false;
  passing_ = container.centre + moment.recipe.sensor_to_nozzle;
  container.dosed = true;
  container.landing = newest_landing_ = moment.belt.arrival(passing_);
  container.expected_wait = dose.expected_wait;
}

/// A container was taken at the speed of its last pulses: where a later one shows another speed, it
/// gets another dose.
void StreamTimer::check_doses(const Moment& moment, ContainerQueue& queue, Counters& counters) {
  // unreached: the second half; a belt without a speed has no permit, so the stream has ended
  if (moment.belt.changed_at() != moment.now || moment.belt.speed(moment.now) == Speed{0}) return;
  const Length past =
      moment.position - moment.recipe.sensor_to_nozzle - half_opening(moment.recipe);
  for (std::size_t i = queue.decided(); i-- > 0 && queue[i].centre > past;) {
    Container& container = queue[i];
    if (container.flagged) continue;
    if (dose_in_range(moment, dose_for(moment.recipe, container.expected_wait).mass)) continue;
    counters.add(Counter::kStreamDoseWrong);
    container.flagged = true;
  }
}

/// The end of the newest container or, if the next is due soon behind it, at most the gap later. A
/// belt that slows does not keep the valve open past its limit: the container is cut.
void StreamTimer::plan_end(const Moment& moment, bool going, const ContainerQueue& queue) {
  const Recipe& recipe = moment.recipe;
  if (!rear_seen_) {
    passed_ = closing_time(moment, passing_);
    rear_behind_landing_ = passed_ - moment.belt.arrival(passing_);
    // Once it has passed, when it did does not change with the speed.
    rear_seen_ = moment.position >= passing_ + half_opening(recipe);
  }
  close_at_ = earlier(passed_, opened_at_ + recipe.stream_max);
  const Container* next = queue.next_to_dose();
  if (!going || next == nullptr || next->flagged) return;
  const Length front = next->centre + recipe.sensor_to_nozzle - half_opening(recipe);
  const Instant due = moment.belt.arrival(front) - recipe.stream_open_lead;
  const Instant next_passed =
      moment.belt.arrival(front + recipe.opening) - recipe.stream_close_lead;
  const bool within_limit = next_passed + recipe.stream_gap < opened_at_ + recipe.stream_max;
  if (due <= passed_ + recipe.stream_gap && within_limit) {
    close_at_ = passed_ + recipe.stream_gap;
  }
}

void StreamTimer::end(Instant now, ContainerQueue& queue, Counters& counters) {
  if (!open()) return;
  if (now < passed_) {
    counters.add(Counter::kShotCut);
    queue.flag_decided_since(earlier(now - rear_behind_landing_, newest_landing_));
  }
  newest_.reset();
  closed_at_ = now;
}

bool StreamTimer::in_reach(const Belt& belt, const Recipe& recipe,
                           const ContainerQueue& queue) const {
  if (open() || open_at_ != kNever) return true;
  const Container* next = queue.next_to_dose();
  return next != nullptr &&
         !belt.surely_past_next_pulse(next->centre + recipe.sensor_to_nozzle - half_opening(recipe),
                                      recipe.stream_open_lead);
}

}  // namespace rimebench
