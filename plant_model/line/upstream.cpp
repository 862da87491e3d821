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
      next_pulse_{spec.line.controls.line_pulse_pitch_um} {
  next_.fill(1);
  lanes_.set(kScript, Instant{1'000});
  set_all(Instant{0});
}

Instant Upstream::run(Instant until, std::size_t inputs_max) {
  const std::size_t room = static_cast<std::size_t>(filler_.release_max());
  while (!finished_) {
    const Due due = lanes_.next();
    if (due.at >= until) return until;
    const bool enough = inputs_.before(due.at).size() >= inputs_max;
    if (enough || drive_.history_full() || !conveyed_.has_room(room)) return due.at;
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
      follow_permit(at);
      return set_all(at);
    case kScript:
      return run_script(at);
    case kRelease:
      return release(at);
    case kPulse:
      pulse_level_ ^= 1;
      inputs_.put({at, Channel::kLinePulse, pulse_level_});
      next_pulse_ += Length{spec_.line.controls.line_pulse_pitch_um};
      return set_lane(kPulse, at);
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
    case kGateReached:
    case kLaneCount:
      break;
  }
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
  if (lane == kGateReached) container.gate = at;
  if (lane == kDischargeOn || lane == kDischargeOff) discharge(lane, at);
  set_lane(lane, at);
  if (lane == kSensorOn) set_lane(kSensorOff, at);
}

void Upstream::level(Channel channel, Instant at, bool high) {
  inputs_.put({at, channel, high ? 1 : 0});
}

void Upstream::run_script(Instant at) {
  switch (script_step_++) {
    case 0:
      for (const Channel channel :
           {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kFillerRunning,
            Channel::kSeamerRunning, Channel::kGateAir, Channel::kLinkAlive}) {
        const bool measured = spec_.line.supply && spec_.line.supply->ready_um > 0;
        if (channel != Channel::kSupplyReady || !measured) level(channel, at, true);
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

void Upstream::follow_permit(Instant at) {
  if (drive_.permit() == permit_shown_) return;
  permit_shown_ = drive_.permit();
  level(Channel::kRunPermit, at, permit_shown_);
}

void Upstream::halt(Instant at) {
  drive_.halt(at);
  follow_permit(at);
  set_all(at);
  finished_ = false;
}

void Upstream::release(Instant at) {
  if (at >= Instant{spec_.feed.raw}) return lanes_.clear(kRelease);
  const Length clear_way{spec_.container.body_um};
  const bool blocked =
      queued() && !conveyed_.empty() && centre_at(conveyed_[conveyed_.last()], at) < clear_way;
  if (blocked) {
    filler_.postpone(kPostpone);
    return set_lane(kRelease, at);
  }
  filler_.release(conveyed_);
  if (filler_.inline_heads()) {
    level(Channel::kGroupStart, at, true);
    level(Channel::kGroupStart, at + kSignalWidth, false);
  }
  set_lane(kRelease, at);
  set_idle(at);
}

/// Touching containers show no gap: the level falls behind the last of them.
void Upstream::sensor_on(Carried& container, Instant at) {
  if (before_sensor_++ > 0) return;
  const SensorSpec& sensor = spec_.line.sensor;
  RandomStream chance(spec_.seed, static_cast<std::uint32_t>(Source::kSensor),
                      static_cast<std::uint64_t>(container.position));
  const std::int64_t jitter = rounded(chance.normal() * static_cast<double>(sensor.jitter_sd_us));
  const Duration delay{std::max<std::int64_t>(0, sensor.on_delay_us + jitter)};
  const Instant edge = later(at + delay, last_sensor_change_ + 1_us);
  container.row.sensor_us = edge.us;
  level(Channel::kContainerSensor, edge, true);
  last_sensor_change_ = edge;
  chatter(container, edge);
}

void Upstream::chatter(const Carried& container, Instant edge) {
  const SensorChatter& chatter = spec_.happens.chatter;
  if (chatter.share_ppm == 0) return;
  RandomStream chance(spec_.seed, static_cast<std::uint32_t>(Source::kChatter),
                      static_cast<std::uint64_t>(container.position));
  if (!chance.happens(static_cast<std::uint32_t>(chatter.share_ppm))) return;
  for (int i = 0; i < chatter.edges; ++i) {
    edge = edge + chatter.gap;
    level(Channel::kContainerSensor, edge, i % 2 == 1);
  }
  last_sensor_change_ = edge;
}

void Upstream::sensor_off(const Carried& container, Instant at) {
  if (--before_sensor_ > 0) return;
  const SensorSpec& sensor = spec_.line.sensor;
  RandomStream chance(spec_.seed, static_cast<std::uint32_t>(Source::kSensor),
                      static_cast<std::uint64_t>(container.position));
  static_cast<void>(chance.word());
  const std::int64_t jitter = rounded(chance.normal() * static_cast<double>(sensor.jitter_sd_us));
  const Duration delay{std::max<std::int64_t>(0, sensor.off_delay_us + jitter)};
  last_sensor_change_ = later(at + delay, last_sensor_change_ + 1_us);
  level(Channel::kContainerSensor, last_sensor_change_, false);
}

void Upstream::discharge(Lane lane, Instant at) {
  level(Channel::kDischargeSensor, at, lane == kDischargeOn);
  last_discharge_change_ = at;
  if (lane == kDischargeOff) return set_lane(kDischargeOn, at);
  if (queued()) {
    Carried& container = conveyed_[next_of(kDischargeOn) - 1];
    const Length leading_edge_to_centre{spec_.container.body_um / 2};
    container.outfeed_offset =
        drive_.travel_at(at) + leading_edge_to_centre - Length{spec_.line.stations.discharge_um};
    set_lane(kGateReached, at);
  }
  set_lane(kDischargeOff, at);
}

void Upstream::set_all(Instant now) {
  for (int lane = 0; lane < kLaneCount; ++lane) {
    if (lane != kScript) set_lane(static_cast<Lane>(lane), now);
  }
}

/// A new container concerns only stations that were waiting for one.
void Upstream::set_idle(Instant now) {
  for (int lane = 0; lane < kLaneCount; ++lane) {
    if (lane != kScript && lanes_.at(lane) == kNever) set_lane(static_cast<Lane>(lane), now);
  }
}

void Upstream::set_lane(Lane lane, Instant now) {
  const Instant at = has_station(lane) ? time_of(lane, now) : kNever;
  lanes_.set(lane, at);
}

bool Upstream::has_station(Lane lane) const {
  const StationsSpec& stations = spec_.line.stations;
  switch (lane) {
    case kLid:
    case kSeam:
      return !queued();
    case kDischargeOn:
    case kDischargeOff:
      return stations.discharge_um > 0;
    case kGateReached:
      return stations.gate_um > 0;
    case kQueueArrival:
    case kSeamerFree:
      return queued();
    case kPulse:
      return spec_.line.controls.line_pulse_pitch_um > 0;
    case kSegmentEnd:
    case kScript:
    case kRelease:
    case kSensorOn:
    case kSensorOff:
    case kLaneCount:
      return true;
  }
  return true;
}

Instant Upstream::time_of(Lane lane, Instant now) const {
  switch (lane) {
    case kSegmentEnd:
      return drive_.segment().to;
    case kRelease:
      return now >= Instant{spec_.feed.raw} ? kNever : drive_.time_of(filler_.next_release(), now);
    case kPulse:
      return drive_.time_of(next_pulse_, now);
    case kQueueArrival:
      return queue_.arrival_due() ? drive_.time_of(queue_.arrival_travel(), now) : kNever;
    case kSeamerFree:
      return queue_.free_at() == kNever ? kNever : later(queue_.free_at(), now);
    case kDischargeOn:
      if (queued()) return time_of_discharge(now);
      break;
    case kScript:
    case kSensorOn:
    case kSensorOff:
    case kLid:
    case kSeam:
    case kDischargeOff:
    case kGateReached:
    case kLaneCount:
      break;
  }
  const std::int64_t number = next_of(lane);
  if (!conveyed_.has(number)) return kNever;
  if (lane == kSensorOff && number >= next_of(kSensorOn)) return kNever;
  const bool behind_queue = queued() && (lane == kDischargeOff || lane == kGateReached);
  if (behind_queue && number >= next_of(kDischargeOn)) return kNever;
  if (!behind_queue && queue_.stands(number)) return kNever;
  return drive_.time_of(mark(lane, conveyed_[number]), now);
}

/// While the outfeed stands with a container on it, the next one waits in the seamer.
Instant Upstream::time_of_discharge(Instant now) const {
  const std::int64_t number = next_of(kDischargeOn);
  if (!conveyed_.has(number) || !conveyed_[number].taken) return kNever;
  if (next_of(kDischargeOff) < number) return kNever;
  const SeamerSpec& seamer = spec_.line.seamer;
  const Instant taken_at = conveyed_[number].seam - Duration{seamer.seam_us};
  const Instant due = later(taken_at + Duration{seamer.discharge_us}, now);
  return later(due, last_discharge_change_ + 1_us);
}

/// Belt travel at which the container reaches the lane's station.
Length Upstream::mark(Lane lane, const Carried& container) const {
  const StationsSpec& stations = spec_.line.stations;
  const Length half_body{spec_.container.body_um / 2};
  const Length base = container.offset + container.slip;
  const Length outfeed = queued() ? container.outfeed_offset : base;
  switch (lane) {
    case kSensorOn:
      return base + Length{stations.sensor_um} - half_body;
    case kSensorOff:
      return base + Length{stations.sensor_um} + half_body;
    case kLid:
      return base + Length{stations.lid_um};
    case kSeam:
      return base + Length{stations.seam_um};
    case kDischargeOn:
      return outfeed + Length{stations.discharge_um} - half_body;
    case kDischargeOff:
      return outfeed + Length{stations.discharge_um} + half_body;
    case kGateReached:
      return outfeed + Length{stations.gate_um};
    case kSegmentEnd:
    case kScript:
    case kRelease:
    case kPulse:
    case kQueueArrival:
    case kSeamerFree:
    case kLaneCount:
      break;
  }
  DEMAND(false);
  return base;
}

Length Upstream::centre_at(const Carried& container, Instant at) const {
  const Length travel = drive_.travel_at(at);
  Length slip{};
  for (const Hold& hold : container.holds) {
    if (at <= hold.from) break;
    slip += (at < hold.to ? travel : hold.travel_to) - hold.travel_from;
  }
  return travel - container.offset - slip;
}

bool Upstream::has_left(std::int64_t number) const {
  for (const Lane lane : {kSensorOff, kLid, kSeam, kDischargeOff, kGateReached}) {
    if (has_station(lane) && next_of(lane) <= number) return false;
  }
  return true;
}

bool Upstream::run_empty(Instant now) const {
  if (now < Instant{spec_.feed.raw}) return false;
  const bool gate = spec_.line.stations.gate_um > 0;
  const Lane last_station = gate ? kGateReached : queued() ? kDischargeOff : kSeam;
  return next_of(last_station) > conveyed_.last();
}

}  // namespace rimebench
