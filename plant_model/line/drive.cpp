#include "plant_model/line/drive.hpp"

#include <algorithm>

#include "plant_model/kernel/motion.hpp"
#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

constexpr Instant kLineStart{100'000};   // the operator's buttons come first
constexpr Duration kStartRamp = 1_s;     // the first ramp of a run
constexpr Duration kHaltCoast = 500_ms;  // after the line permit is lost
constexpr Duration kRestartPause = 1_s;  // from its return to the restart
constexpr double kSecondsPerMinute = 60.0;

double speed_at(const Segment& segment, Instant at) {
  return segment.speed_um_per_s + segment.acceleration_um_per_s2 * seconds(at - segment.from);
}

}  // namespace

Drive::Drive(const PlantSpec& spec)
    : plan_(std::make_shared<const MotionPlan>(spec)),
      um_per_container_(travel_per_container_um(spec.line.filler)),
      stand_until_(kLineStart),
      ramp_(kStartRamp) {
  DEMAND(!plan_->profile.empty());
  history_.push_back({Instant{0}, kLineStart, Length{0}, 0.0, 0.0});
}

double Drive::profile_speed(Instant at) {
  const SpeedProfile& profile = plan_->profile;
  while (knot_ > 0 && profile[knot_].at > at) --knot_;
  while (knot_ + 1 < profile.size() && profile[knot_ + 1].at <= at) ++knot_;
  const SpeedKnot& here = profile[knot_];
  double per_min = here.containers_per_min;
  if (knot_ + 1 < profile.size() && at > here.at) {
    const SpeedKnot& next = profile[knot_ + 1];
    per_min += (next.containers_per_min - here.containers_per_min) * seconds(at - here.at) /
               seconds(next.at - here.at);
  }
  return per_min * um_per_container_ / kSecondsPerMinute;
}

Instant Drive::next_knot(Instant at) const {
  const SpeedProfile& profile = plan_->profile;
  for (std::size_t i = knot_; i < profile.size(); ++i) {
    if (profile[i].at > at) return profile[i].at;
  }
  return kNever;
}

Instant Drive::next_stop() const {
  return stop_ < plan_->stops.size() ? plan_->stops[stop_].at : kNever;
}

void Drive::begin(Instant from, Instant to, double speed, double acceleration) {
  history_.push_back({from, to, travel_at(from), speed, acceleration});
}

void Drive::begin_ramp(Instant at, Duration ramp) {
  const double target = profile_speed(at + ramp);
  permit_ = true;
  if (ramp.raw == 0 || target == 0.0) return begin_running(at);
  phase_ = Phase::kRamping;
  begin(at, earlier(at + ramp, next_stop()), 0.0, target / seconds(ramp));
}

void Drive::begin_running(Instant at) {
  const SpeedProfile& profile = plan_->profile;
  phase_ = Phase::kRunning;
  const double speed = profile_speed(at);
  const Instant knot = next_knot(at);
  double acceleration = 0.0;
  if (knot != kNever && profile[knot_].at <= at) {
    acceleration = (profile[knot_ + 1].containers_per_min - profile[knot_].containers_per_min) *
                   um_per_container_ / kSecondsPerMinute / seconds(knot - profile[knot_].at);
  }
  permit_ = speed > 0.0 || acceleration > 0.0 || plan_->jammed(at);
  begin(at, earlier(knot, next_stop()), speed, acceleration);
}

void Drive::begin_coast(Instant at, double speed, Duration coast) {
  permit_ = false;
  const bool moving = speed > 0.0 && coast.raw > 0;
  begin(at, at + (moving ? coast : 1_us), moving ? speed : 0.0,
        moving ? -speed / seconds(coast) : 0.0);
}

void Drive::next_segment() {
  const Segment ended = segment();
  const Instant at = ended.to;
  DEMAND(at != kNever);
  const bool may_run =
      phase_ == Phase::kStanding || phase_ == Phase::kRamping || phase_ == Phase::kRunning;
  if (may_run && at >= next_stop()) {
    phase_ = Phase::kCoasting;
    return begin_coast(at, speed_at(ended, at), plan_->stops[stop_].coast);
  }
  switch (phase_) {
    case Phase::kStanding:
      return at < stand_until_ ? stand(at) : begin_ramp(at, ramp_);
    case Phase::kRamping:
    case Phase::kRunning:
      return begin_running(at);
    case Phase::kCoasting: {
      const LineStop& stop = plan_->stops[stop_++];
      ramp_ = stop.ramp;
      stand_until_ = later(stop.at + stop.lasts, at + 1_us);
      return stand(at);
    }
    case Phase::kHalting:
    case Phase::kHalted:
      if (resumes_) return restart(at);
      phase_ = Phase::kHalted;
      return begin(at, kNever, 0.0, 0.0);
  }
}

/// Until the stop's end, or until somebody turns the belt by hand.
void Drive::stand(Instant at) {
  phase_ = Phase::kStanding;
  const std::vector<Occurrence>& jogs = plan_->jogs;
  while (jog_ < jogs.size() && jogs[jog_].to <= at) ++jog_;
  const Instant jog = jog_ < jogs.size() ? jogs[jog_].from : kNever;
  if (at < jog) return begin(at, earlier(jog, stand_until_), 0.0, 0.0);
  begin(at, earlier(jogs[jog_].to, stand_until_), jogs[jog_].amount, 0.0);
}

/// After a halt: what was planned for the meantime is over.
void Drive::restart(Instant at) {
  const std::vector<LineStop>& stops = plan_->stops;
  resumes_ = false;
  ramp_ = kStartRamp;
  stand_until_ = at + kRestartPause;
  while (stop_ < stops.size() && stops[stop_].at <= at) {
    stand_until_ = later(stand_until_, stops[stop_].at + stops[stop_].lasts);
    ramp_ = std::max(kStartRamp, stops[stop_++].ramp);
  }
  stand(at);
}

void Drive::halt(Instant at) {
  resumes_ = false;
  if (phase_ == Phase::kHalting || phase_ == Phase::kHalted) return;
  Segment& present = history_.back();
  DEMAND(at >= present.from && at <= present.to);
  const double speed = speed_at(present, at);
  present.to = at;
  phase_ = Phase::kHalting;
  begin_coast(at, speed, kHaltCoast);
}

void Drive::resume(Instant at) {
  if (phase_ == Phase::kHalting) resumes_ = true;
  if (phase_ != Phase::kHalted) return;
  history_.back().to = at;
  restart(at);
}

Instant Drive::time_back_of(Length travel, Instant now) const {
  const Segment& s = segment();
  const Length way = travel - Length{1} - s.travel;
  if (way.raw >= 0) return now;
  const auto time = crossing(way, s.speed_um_per_s, s.acceleration_um_per_s2);
  if (!time || s.from + *time >= s.to) return kNever;
  return later(s.from + *time, now);
}

Instant Drive::time_of(Length travel, Instant now) const {
  const Segment& s = segment();
  const Length way = travel - s.travel;
  if (way.raw <= 0) return now;
  const auto time = crossing(way, s.speed_um_per_s, s.acceleration_um_per_s2);
  if (!time || s.from + *time >= s.to) return kNever;
  return later(s.from + *time, now);
}

Length Drive::travel_at(Instant at) const {
  std::size_t i = history_.size();
  if (i == 0) return Length{0};
  do {
    --i;
  } while (i > 0 && history_[i].from > at);
  const Segment& s = history_[i];
  DEMAND(at >= s.from);
  const double way =
      travelled_um(s.speed_um_per_s, s.acceleration_um_per_s2, earlier(at, s.to) - s.from);
  const auto whole = static_cast<std::int64_t>(way);
  return s.travel + Length{static_cast<double>(whole) > way ? whole - 1 : whole};
}

void Drive::forget_before(Instant at) {
  while (history_.size() > 1 && history_.front().to <= at) history_.pop_front();
}

}  // namespace rimebench
