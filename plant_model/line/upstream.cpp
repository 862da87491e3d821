#include "plant_model/line/upstream.hpp"

#include <algorithm>

#include "plant_model/kernel/random.hpp"
#include "plant_model/line/sources.hpp"

namespace rimebench {

namespace {

/// How far a blocked release is put off before the filler looks again.
constexpr Length kPostpone = 10_mm;
/// The signals of a release and of a lid stay up this long: less than the fastest line's cycle.
constexpr Duration kSignalWidth = 5_ms;
/// The operator's script: powered up, loaded, reset, started, one after the other.
constexpr Duration kScriptStep = 10_ms;

std::int64_t rounded(double value) {
  return static_cast<std::int64_t>(value < 0.0 ? value - 0.5 : value + 0.5);
}

}  // namespace

Upstream::Upstream(const PlantSpec& spec, Conveyed& conveyed)
    : Bound{{spec, conveyed}},
      drive_(spec),
      filler_(spec),
      queue_(spec.line, spec.container.body_um, conveyed),
      pulses_(spec),
      sensor_(spec),
      timeline_(std::make_shared<const std::vector<TimelineEvent>>(timeline(spec))) {
  next_.fill(1);
  lanes_.set(kScript, Instant{1'000});
  set_all(Instant{0});
}

Instant Upstream::run(Instant until, std::size_t inputs_max) {
  const std::size_t room = static_cast<std::size_t>(filler_.release_max());
  while (!finished_) {
    const Due due = lanes_.next();
    if (due.at >= until) return until;
    if (inputs_.holds(inputs_max, due.at) || drive_.history_full() || !conveyed_.has_room(room))
      return due.at;
    last_event_ = due.at;
    handle(static_cast<Lane>(due.lane), due.at);
    finished_ = run_empty(due.at) || lanes_.next().at == kNever;
  }
  return until;
}

void Upstream::handle(Lane lane, Instant at) {
  switch (lane) {
    case kSegmentEnd:
      drive_.next_segment();
      follow_drive(at);
      return set_all(at);
    case kScript:
      return run_script(at);
    case kTimeline:
      return run_timeline(at);
    case kRelease:
      return release(at);
    case kPulse:
      return pass_pulse(at, drive_.runs_back());
    case kPulseAgain:
      pulses_.come_again(at, inputs_);
      return set_lane(kPulseAgain, at);
    case kQueueArrival:
      queue_.arrive(at, drive_.travel_at(at));
      return set_all(at);
    case kSeamerFree:
      queue_.take_standing(at, drive_.travel_at(at));
      return set_all(at);
    case kSensorOn:
    case kSensorOff:
    case kLid:
    case kSeam:
    case kDischargeOn:
    case kDischargeOff:
    case kCheckReached:
    case kGateReached:
    case kLaneCount:
      break;
  }
  if (drive_.runs_back()) return go_back(lane, at);
  handle_container(lane, at);
}

void Upstream::handle_container(Lane lane, Instant at) {
  Carried& container = conveyed_[next_of(lane)];
  ++next_of(lane);
  if (lane == kSensorOn) sensor_on(container, at);
  if (lane == kSensorOff) sensor_off(container, at);
  if (lane == kLid) {
    container.lid = at;
    if (spec_.line.controls.lid_sensor) {
      level(Channel::kLidPresent, at, true);
      level(Channel::kLidPresent, at + kSignalWidth, false);
    }
  }
  if (lane == kSeam) container.seam = at;
  if (lane == kCheckReached) container.check = at;
  if (lane == kGateReached) container.gate = at;
  if (lane == kDischargeOn || lane == kDischargeOff) discharge(lane, at);
  set_lane(lane, at);
  if (lane == kSensorOn) set_lane(kSensorOff, at);
}

/// A container that is turned back passes in front of the sensors once more; what has been done to
/// it stays done.
void Upstream::go_back(Lane lane, Instant at) {
  const Carried& container = conveyed_[--next_of(lane)];
  if (lane == kDischargeOn || lane == kDischargeOff) {
    see_discharge(at, lane == kDischargeOff);
    set_lane(kDischargeOff, at);
    return set_lane(kDischargeOn, at);
  }
  const bool seen = !has_befallen(container, Befell::kUnseen);
  if (seen && lane == kSensorOff && before_sensor_++ == 0) {
    sensor_.set(at + sensor_delay(container, true), true, inputs_);
  }
  if (seen && lane == kSensorOn && --before_sensor_ == 0) {
    sensor_.set(at + sensor_delay(container, false), false, inputs_);
  }
  set_lane(kSensorOff, at);
  set_lane(kSensorOn, at);
}

void Upstream::pass_pulse(Instant at, bool backwards) {
  if (pulses_.pass(at, backwards, inputs_)) {
    mark(Befell::kPulseFault, next_to_gate(), next_of(kSensorOn));
    set_lane(kPulseAgain, at);
  }
  set_lane(kPulse, at);
}

void Upstream::level(Channel channel, Instant at, bool high) {
  inputs_.put({at, channel, high ? 1 : 0});
}

void Upstream::show(Channel channel, Instant at, bool high) {
  bool& shown = shown_.at(number(channel) & 0xff);
  if (shown == high) return;
  shown = high;
  level(channel, at, high);
}

void Upstream::run_script(Instant at) {
  switch (script_step_++) {
    case 0:
      for (const Channel channel :
           {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kFillerRunning,
            Channel::kSeamerRunning, Channel::kGateAir, Channel::kLinkAlive}) {
        const bool measured = channel == Channel::kSupplyReady && spec_.line.supply &&
                              spec_.line.supply->ready_um > 0;
        if (!measured && !wired(channel)) show(channel, at, true);
      }
      break;
    case 1:
      load_recipe(at);
      break;
    case 2:
    case 3:
      level(Channel::kOperatorReset, at, script_step_ == 3);
      break;
    case 4:
    case 5:
      level(Channel::kOperatorStart, at, script_step_ == 5);
      break;
    default:
      return lanes_.clear(kScript);
  }
  lanes_.set(kScript, at + kScriptStep);
}

void Upstream::load_recipe(Instant at) {
  for (int index = 0; index < kParameterSlots; ++index) {
    const std::int32_t value = spec_.recipe.at_slot(index);
    if (value != 0) inputs_.put({at, recipe_channel(index), value});
  }
  inputs_.put({at, Channel::kRecipeCommit, spec_.recipe.commit_value()});
}

void Upstream::halt(Instant at) {
  drive_.halt(at);
  follow_drive(at);
  set_all(at);
  finished_ = false;
}

void Upstream::resume(Instant at) {
  drive_.resume(at);
  last_event_ = later(last_event_, at);
  set_all(at);
  finished_ = false;
}

void Upstream::release(Instant at) {
  if (at >= Instant{spec_.feed.raw}) {
    follow_drive(at);
    return lanes_.clear(kRelease);
  }
  const Length clear_way{spec_.container.body_um};
  const bool blocked =
      queued() && !conveyed_.empty() && centre_at(conveyed_[conveyed_.last()], at) < clear_way;
  if (blocked) {
    filler_.postpone(kPostpone);
    return set_lane(kRelease, at);
  }
  const std::int64_t first = conveyed_.last() + 1;
  filler_.release(conveyed_, at);
  if (filler_.inline_heads()) announce_group(at, first);
  set_lane(kRelease, at);
  set_idle(at);
}

void Upstream::announce_group(Instant at, std::int64_t first) {
  const Happenings& happens = spec_.happens;
  const auto drawn = [&](MishapKind kind, Source source) {
    return happens_to(spec_.seed, source, filler_.groups(), happens.of(kind).share_ppm);
  };
  if (drawn(MishapKind::kGroupSignalLost, Source::kGroupSignalLost)) {
    return mark(Befell::kGroupSignalLost, first, conveyed_.last() + 1);
  }
  if (drawn(MishapKind::kGroupSignalLate, Source::kGroupSignalLate)) {
    mark(Befell::kGroupSignalLate, first, conveyed_.last() + 1);
    at = at + happens.of(MishapKind::kGroupSignalLate).after;
  }
  at = later(at, group_signal_ends_ + 1_us);
  group_signal_ends_ = at + kSignalWidth;
  level(Channel::kGroupStart, at, true);
  level(Channel::kGroupStart, group_signal_ends_, false);
}

/// From the edge passing the sensor to the signal; item for item the same however often it passes.
Duration Upstream::sensor_delay(const Carried& container, bool on) const {
  const SensorSpec& sensor = spec_.line.sensor;
  RandomStream chance(spec_.seed, static_cast<std::uint32_t>(Source::kSensor),
                      static_cast<std::uint64_t>(container.position));
  if (!on) static_cast<void>(chance.word());
  const std::int64_t jitter = rounded(chance.normal() * static_cast<double>(sensor.jitter_sd_us));
  return {std::max<std::int64_t>(0, (on ? sensor.on_delay_us : sensor.off_delay_us) + jitter)};
}

/// Touching containers show no gap: the level falls behind the last of them.
void Upstream::sensor_on(Carried& container, Instant at) {
  container.row.befell |= active_befell_;
  if (has_befallen(container, Befell::kUnseen) || before_sensor_++ > 0) return;
  const Instant edge = sensor_.set(at + sensor_delay(container, true), true, inputs_);
  if (container.row.sensor_us != 0) return;  // it comes by a second time
  container.row.sensor_us = edge.us;
  chatter(container, edge);
  if (!has_befallen(container, Befell::kShoulder)) return;
  const Mishap& shoulder = spec_.happens.of(MishapKind::kShoulder);
  sensor_.set(edge + shoulder.after, false, inputs_);
  sensor_.set(edge + shoulder.after + shoulder.lasts, true, inputs_);
}

void Upstream::chatter(Carried& container, Instant edge) {
  const SensorChatter& chatter = spec_.happens.chatter;
  if (!happens_to(spec_.seed, Source::kChatter, container.position, chatter.share_ppm)) return;
  container.row.befell |= befell_bit(Befell::kChatter);
  for (int i = 0; i < chatter.edges; ++i) {
    edge = edge + chatter.gap;
    sensor_.set(edge, i % 2 == 1, inputs_);
  }
}

void Upstream::sensor_off(const Carried& container, Instant at) {
  if (has_befallen(container, Befell::kUnseen) || --before_sensor_ > 0) return;
  const Instant edge = sensor_.set(at + sensor_delay(container, false), false, inputs_);
  if (!has_befallen(container, Befell::kSplashEcho)) return;
  const Mishap& echo = spec_.happens.of(MishapKind::kSplashEcho);
  sensor_.set(edge + echo.after, true, inputs_);
  sensor_.set(edge + echo.after + echo.lasts, false, inputs_);
}

/// Touching containers show no gap here either.
void Upstream::see_discharge(Instant at, bool comes) {
  const bool changes = comes ? before_discharge_++ == 0 : --before_discharge_ == 0;
  if (changes) level(Channel::kDischargeSensor, at, comes);
}

void Upstream::discharge(Lane lane, Instant at) {
  see_discharge(at, lane == kDischargeOn);
  last_discharge_change_ = at;
  if (lane == kDischargeOff) return set_lane(kDischargeOn, at);
  if (queued()) {
    Carried& container = conveyed_[next_of(kDischargeOn) - 1];
    const Length leading_edge_to_centre{spec_.container.body_um / 2};
    container.outfeed_offset =
        drive_.travel_at(at) + leading_edge_to_centre - Length{spec_.line.stations.discharge_um};
    set_lane(kCheckReached, at);
    set_lane(kGateReached, at);
  }
  set_lane(kDischargeOff, at);
}

}  // namespace rimebench
