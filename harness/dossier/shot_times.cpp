#include "harness/dossier/shot_times.hpp"

#include <cmath>

#include "plant_model/physics/flight.hpp"
#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

/// More than there are between a shot and the row of its container, a full queue in between.
constexpr std::size_t kLevelsKept = 4096;

}  // namespace

Duration fall_to_drink(const NozzleSpec& nozzle, const ProductSpec& product) {
  const double drop_m = metres(nozzle.height_um + product.rim_to_drink_um);
  const double speed = metres(nozzle.jet_speed_um_per_s);
  return {static_cast<std::int64_t>(std::ceil(physics::fall_time_s(speed, drop_m) * 1e6))};
}

void ShotFinder::Levels::on_change(const SignalChange& change) {
  if (change.value != 0) {
    kept_.push_back({change.at});
  } else if (!kept_.empty()) {
    kept_.back().until = change.at;
  }
  if (kept_.size() > kLevelsKept) {
    kept_.pop_front();
    ++first_kept_;
  }
}

std::optional<std::int64_t> ShotFinder::Levels::last_before(Instant at) const {
  for (std::size_t i = kept_.size(); i > 0; --i) {
    if (kept_[i - 1].from < at) return first_kept_ + static_cast<std::int64_t>(i) - 1;
  }
  return std::nullopt;
}

ShotFinder::Levels::Level ShotFinder::Levels::at(std::int64_t number) const {
  if (number < first_kept_) return {kNever, kNever};
  return kept_[static_cast<std::size_t>(number - first_kept_)];
}

ShotFinder::ShotFinder(const PlantSpec& spec)
    : fall_(fall_to_drink(spec.line.nozzle, spec.product)) {}

void ShotFinder::on_change(const SignalChange& change) {
  if (change.channel == Channel::kValve) commands_.on_change(change);
  if (change.channel == Channel::kValveActual) openings_.on_change(change);
  if (change.channel == Channel::kLanding && change.value > 0) land(change);
}

/// The last liquid of a shot left the nozzle one fall before it landed.
void ShotFinder::land(const SignalChange& landing) {
  const auto opening = openings_.last_before(landing.at - fall_);
  if (!opening) return;
  const Instant opened = openings_.at(*opening).from;
  const auto command = commands_.last_before(opened + Duration{1});
  shots_.insert({landing.value, {command, *opening, landing.at}});
}

ShotTimes ShotFinder::take(std::int64_t container) {
  ShotTimes times;
  const auto found = shots_.find(container);
  if (found == shots_.end()) return times;
  const Shot shot = found->second;
  shots_.erase(found);
  const Levels::Level opening = openings_.at(shot.opening);
  if (opening.from == kNever) return times;
  times.open = opening.from;
  times.close = opening.until;
  times.landing_begin = opening.from + fall_;
  times.landing_end = shot.landed;
  if (!shot.command) return times;
  const Levels::Level command = commands_.at(*shot.command);
  times.command_open = command.from;
  times.command_close = command.until;
  return times;
}

}  // namespace rimebench
