#include "firmware_sim/core/cross_check.hpp"

namespace rimebench {

void CrossCheck::on_pulse(PulseVerdict verdict, const Moment& moment, ContainerQueue& queue,
                          Counters& counters) {
  switch (verdict) {
    case PulseVerdict::kPlausible:
      return;
    case PulseVerdict::kExtra:
      // Not taken, so every place on the belt is still right.
      counters.add(Counter::kPulseExtra);
      break;
    case PulseVerdict::kLost:
      counters.add(Counter::kPulseLost);
      queue.flag_landing_since(moment.now);
      break;
    case PulseVerdict::kByHand:
      return moved_by_hand(moment, queue, counters);
  }
  doubtful_ = true;
}

/// Counted forward by a pulse, the belt may have gone back by one.
void CrossCheck::moved_by_hand(const Moment& moment, ContainerQueue& queue, Counters& counters) {
  if (!moving_by_hand_) counters.add(Counter::kReversal);
  moving_by_hand_ = true;
  queue.flag_all();
  const Length step = moment.recipe.pulse_pitch;
  const Length before = moment.position - step;
  seen_to_ = (seen_to_ < before ? before : seen_to_) + step + step;
}

void CrossCheck::on_sighting(Sighting sighting, const Moment& moment, const LineState& line,
                             ContainerQueue& queue, Counters& counters) {
  if (moment.recipe.implausible_max == 0 || sighting == Sighting::kNothing) return;
  const bool wrong = sighting != Sighting::kContainer;
  if (wrong) doubtful_ = true;
  if (wrong && stood_) {
    counters.add(Counter::kReversal);
    queue.flag_landing_since(moment.now);
    stood_ = false;
  }
  if (sighting == Sighting::kImplausibleWidth) return;
  const bool without_pulse =
      moment.belt.pulsed() && line.running && moment.belt.changed_at() == pulse_at_edge_;
  edges_without_pulse_ = without_pulse ? edges_without_pulse_ + 1 : 0;
  pulse_at_edge_ = moment.belt.changed_at();
  if (line.dosing && edges_without_pulse_ >= moment.recipe.implausible_max) {
    latch(Fault::kPulseLost);
  }
}

bool CrossCheck::on_container(const Moment& moment, const LineState& line, Length edge,
                              ContainerQueue& queue, Counters& counters) {
  const Recipe& recipe = moment.recipe;
  const bool new_here = edge > seen_to_ + recipe.pulse_pitch;
  if (recipe.implausible_max == 0) return new_here;
  const bool off = edge_seen_ && off_pitch(edge - edge_, recipe);
  const bool reversed = off && stood_;
  if (off) {
    // Somewhere between the two edges the count went wrong.
    counters.add(reversed ? Counter::kReversal : Counter::kPitchImplausible);
    queue.flag_landing_since(edge_at_);
    doubtful_ = true;
  }
  row_ = doubtful_ && line.dosing ? row_ + 1 : 0;
  if (row_ >= recipe.implausible_max) latch(Fault::kPulseImplausible);
  doubtful_ = stood_ = false;
  edge_seen_ = true;
  edge_ = edge;
  edge_at_ = moment.now;
  return new_here && !reversed;
}

bool CrossCheck::off_pitch(Length step, const Recipe& recipe) const {
  if (recipe.pitch == 0_um) return false;
  const Length past{step.raw % recipe.pitch.raw};
  const Length short_of = recipe.pitch - past;
  return (past < short_of ? past : short_of) > recipe.pitch_error_max;
}

void CrossCheck::watch(const Moment& moment, const LineState& line, bool sensor_high) {
  if (!line.running) stood_ = true;
  if (line.running) moving_by_hand_ = false;
  watch_pulse(moment, line);
  watch_sensor(moment, line, sensor_high);
}

void CrossCheck::watch_pulse(const Moment& moment, const LineState& line) {
  pulse_due_ = kNever;
  const bool expected = line.running && line.dosing;
  if (!expected || moment.recipe.pulse_max == 0_us || !moment.belt.pulsed()) {
    expected_since_ = kNever;
    return;
  }
  if (expected_since_ == kNever) expected_since_ = moment.now;
  const Instant due = later(moment.belt.changed_at(), expected_since_) + moment.recipe.pulse_max;
  if (moment.now < due) {
    pulse_due_ = due;
  } else {
    latch(Fault::kPulseLost);
  }
}

void CrossCheck::watch_sensor(const Moment& moment, const LineState& line, bool sensor_high) {
  const bool counts = line.dosing && (sensor_high || line.filler_running);
  if (counts != level_counts_ || sensor_high != level_high_) level_since_ = moment.position;
  level_counts_ = counts;
  level_high_ = sensor_high;
  stuck_at_ = kNowhere;
  const Length limit = sensor_high ? moment.recipe.sensor_high_max : moment.recipe.sensor_low_max;
  if (!counts || limit == 0_um) return;
  if (moment.position < level_since_ + limit) {
    stuck_at_ = level_since_ + limit;
  } else {
    latch(sensor_high ? Fault::kSensorStuckHigh : Fault::kSensorStuckLow);
  }
}

}  // namespace rimebench
