/// The stations of the line: what each waits for, and when it comes.

#include <algorithm>

#include "plant_model/line/upstream.hpp"

namespace rimebench {

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
  if (lane == kDischargeOn) skip_taken_away(kDischargeOff);
  skip_taken_away(lane);
  const Instant at = has_station(lane) ? time_of(lane, now) : kNever;
  lanes_.set(lane, at);
}

/// Containers that somebody has taken away pass no station any more.
void Upstream::skip_taken_away(Lane lane) {
  const bool before_seam = lane == kLid || lane == kSeam;
  const bool behind_seam = lane == kDischargeOn || lane == kDischargeOff || lane == kCheckReached ||
                           lane == kGateReached;
  if (!before_seam && !behind_seam) return;
  const auto gone = [&](const Carried& container) {
    return behind_seam ? is_taken_away(container)
                       : has_befallen(container, Befell::kTakenBeforeSeam);
  };
  while (conveyed_.has(next_of(lane)) && gone(conveyed_[next_of(lane)])) ++next_of(lane);
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
    case kCheckReached:
      return spec_.line.pressure_check && spec_.line.pressure_check->at_um > 0;
    case kGateReached:
      return stations.gate_um > 0;
    case kQueueArrival:
    case kSeamerFree:
      return queued();
    case kPulse:
      return pulses_.wired();
    case kSegmentEnd:
    case kScript:
    case kTimeline:
    case kRelease:
    case kPulseAgain:
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
    case kTimeline:
      return next_event_ < timeline_->size() ? (*timeline_)[next_event_].at : kNever;
    case kRelease:
      return now >= Instant{spec_.feed.raw} ? kNever : drive_.time_of(filler_.next_release(), now);
    case kPulse:
      return drive_.runs_back() ? drive_.time_back_of(pulses_.last(), now)
                                : drive_.time_of(pulses_.next(), now);
    case kPulseAgain:
      return pulses_.again_at();
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
    case kCheckReached:
    case kGateReached:
    case kLaneCount:
      break;
  }
  return drive_.runs_back() ? time_back(lane, now) : time_of_container(lane, now);
}

Instant Upstream::time_of_container(Lane lane, Instant now) const {
  const std::int64_t number = next_of(lane);
  if (!conveyed_.has(number)) return kNever;
  if (lane == kSensorOff && number >= next_of(kSensorOn)) return kNever;
  const bool behind_seamer = lane == kDischargeOff || lane == kCheckReached || lane == kGateReached;
  const bool behind_queue = queued() && behind_seamer;
  if (behind_queue && number >= next_of(kDischargeOn)) return kNever;
  if (!behind_queue && queue_.stands(number)) return kNever;
  return drive_.time_of(mark_of(lane, conveyed_[number], now), now);
}

/// On a belt that runs back the last container that has passed is the next to do so again.
Instant Upstream::time_back(Lane lane, Instant now) const {
  const bool on = lane == kSensorOn || lane == kDischargeOn;
  const bool off = lane == kSensorOff || lane == kDischargeOff;
  if (!on && !off) return kNever;
  const std::int64_t number = next_of(lane) - 1;
  if (!conveyed_.has(number) || is_taken_away(conveyed_[number])) return kNever;
  if (lane == kSensorOn && number < next_of(kSensorOff)) return kNever;
  if (lane == kDischargeOn && number < next_of(kDischargeOff)) return kNever;
  return drive_.time_back_of(mark_of(lane, conveyed_[number], now), now);
}

/// While the outfeed stands with a container on it, the next one waits in the seamer.
Instant Upstream::time_of_discharge(Instant now) const {
  const std::int64_t number = next_of(kDischargeOn);
  if (!conveyed_.has(number) || !conveyed_[number].taken) return kNever;
  if (next_of(kDischargeOff) < number) return kNever;
  return later(later(conveyed_[number].discharge, now), last_discharge_change_ + 1_us);
}

/// A loose bracket moves.
Length Upstream::sensor_at(Instant now) const {
  constexpr std::int64_t kMicrosPerHour = 3'600'000'000;
  const std::int64_t drift = spec_.happens.sensor_drift_um_per_h * now.us / kMicrosPerHour;
  return Length{spec_.line.stations.sensor_um + drift};
}

/// Belt travel at which the container reaches the lane's station.
Length Upstream::mark_of(Lane lane, const Carried& container, Instant now) const {
  const StationsSpec& stations = spec_.line.stations;
  const Length half_body = container.half_body;
  const Length base = container.offset + container.slip;
  const Length outfeed = queued() ? container.outfeed_offset : base;
  switch (lane) {
    case kSensorOn:
      return base + sensor_at(now) - half_body;
    case kSensorOff:
      return base + sensor_at(now) + half_body;
    case kLid:
      return base + Length{stations.lid_um};
    case kSeam:
      return base + Length{stations.seam_um};
    case kDischargeOn:
      return outfeed + Length{stations.discharge_um} - half_body;
    case kDischargeOff:
      return outfeed + Length{stations.discharge_um} + half_body;
    case kCheckReached:
      return outfeed + Length{spec_.line.pressure_check->at_um};
    case kGateReached:
      return outfeed + Length{stations.gate_um};
    case kSegmentEnd:
    case kScript:
    case kTimeline:
    case kRelease:
    case kPulse:
    case kPulseAgain:
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
  for (const Lane lane : {kSensorOff, kLid, kSeam, kDischargeOff, kCheckReached, kGateReached}) {
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
