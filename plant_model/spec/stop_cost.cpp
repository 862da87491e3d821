#include "plant_model/spec/stop_cost.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

/// Shares and times by which the controller's view of speed and wait may differ from the belt's.
constexpr double kSpeedSlack = 0.3;
constexpr double kWaitSlack_s = 0.15;
constexpr double kPhases = 200.0;
/// From the belt at speed again to its first shot, at most.
constexpr Duration kToNextShot = 10_s;
/// Some of those places are empty.
constexpr double kUnsteadySlack = 1.2;

/// The belt's speed at `at`, in um/s, as the profile has it.
double speed_at(const PlantSpec& spec, Instant at) {
  return containers_per_min_at(spec.speed, at) * travel_per_container_um(spec.line.filler) / 60.0;
}

/// Travel and time count from the stop; the belt runs at `speed` before and long after.
struct Motion {
  double speed;
  double coast_s;
  double lasts_s;
  double ramp_s;

  double coasted() const { return speed * coast_s / 2.0; }

  double time_of(double travel) const {
    if (travel <= 0.0) return travel / speed;
    if (travel < coasted()) return coast_s * (1.0 - std::sqrt(1.0 - travel / coasted()));
    const double after = travel - coasted();
    const double ramped = speed * ramp_s / 2.0;
    if (after < ramped) return lasts_s + ramp_s * std::sqrt(after / ramped);
    return lasts_s + ramp_s + (after - ramped) / speed;
  }

  double speed_of(double time) const {
    if (time <= 0.0) return speed;
    if (time < coast_s) return speed * (1.0 - time / coast_s);
    if (time < lasts_s) return 0.0;
    return std::min(1.0, ramp_s > 0.0 ? (time - lasts_s) / ramp_s : 1.0) * speed;
  }
};

class Fates {
 public:
  Fates(const PlantSpec& spec, const LineStop& stop)
      : spec_(spec),
        motion_{speed_at(spec, stop.at), seconds(stop.coast.raw), seconds(stop.lasts.raw),
                seconds(stop.ramp.raw)},
        to_seam_(static_cast<double>(spec.line.stations.seam_um - spec.line.stations.nozzle_um)) {}

  const Motion& motion() const { return motion_; }
  double to_seam() const { return to_seam_; }

  /// Whether the container is lost that passes the nozzle at this travel, at this place of its
  /// group: surely (`sure`), or perhaps.
  bool lost(double travel, int place, bool sure) const {
    const double nozzle_s = motion_.time_of(travel);
    return not_dosed(nozzle_s, sure) || wait_is_off(travel, nozzle_s, place, sure);
  }

 private:
  double recipe_s(Parameter parameter) const { return seconds(spec_.recipe.get(parameter)); }

  bool not_dosed(double nozzle_s, bool sure) const {
    const double lead_s = recipe_s(Parameter::kFlightUs) + recipe_s(Parameter::kValveOpenDelayUs) +
                          recipe_s(Parameter::kOpenUsMax);
    const double later_s = sure ? 0.0 : lead_s;
    if (0.0 < nozzle_s && nozzle_s < motion_.lasts_s + later_s) return true;
    const double least = spec_.recipe.get(Parameter::kSpeedMinUmPerS);
    return motion_.speed_of(nozzle_s) < least * (sure ? 1.0 - kSpeedSlack : 1.0 + kSpeedSlack);
  }

  /// A queue stretches the time in which a stop can delay a container: perhaps, not surely.
  bool wait_is_off(double travel, double nozzle_s, int place, bool sure) const {
    const bool queued = spec_.line.transport == Transport::kQueued;
    const double on_belt_s = motion_.time_of(travel + to_seam_) - nozzle_s;
    double expected_s = to_seam_ / motion_.speed;
    const auto source = static_cast<WaitSource>(spec_.recipe.get(Parameter::kWaitSource));
    if (source == WaitSource::kBeltSpeed) expected_s = to_seam_ / motion_.speed_of(nozzle_s);
    const double off_s = std::abs(on_belt_s - expected_s);
    const double allowed_s = recipe_s(Parameter::kWaitErrorMaxUs);
    if (off_s > allowed_s + (sure ? kWaitSlack_s : -kWaitSlack_s)) return true;
    if (sure || !queued || motion_.lasts_s < allowed_s - kWaitSlack_s) return false;
    const double queue_s =
        place * seconds(spec_.line.seamer.cycle_us) + seconds(spec_.line.seamer.seam_us);
    return nozzle_s < 0.0 && nozzle_s + to_seam_ / motion_.speed + queue_s > 0.0;
  }

  const PlantSpec& spec_;
  Motion motion_;
  double to_seam_;
};

std::int64_t count_lost(const Fates& fates, const FillerSpec& filler, double phase, bool sure) {
  const bool groups = filler.kind == FillerKind::kInline;
  const auto period = static_cast<double>(groups ? filler.group_pitch_um : filler.pitch_um);
  const Motion& motion = fates.motion();
  const double reach = fates.to_seam() + 60.0 * motion.speed;
  const double end = motion.coasted() + motion.speed * motion.ramp_s + fates.to_seam();
  std::int64_t lost = 0;
  for (double first = phase - std::ceil(reach / period) * period; first < end; first += period) {
    for (int head = 0; head < filler.heads; ++head) {
      const double travel = first + static_cast<double>(head * filler.head_pitch_um);
      lost += fates.lost(travel, head, sure) ? 1 : 0;
    }
  }
  return lost;
}

/// Containers flagged behind a stop in which the dosing head stood idle for too long.
std::int64_t unsteady(const PlantSpec& spec, const LineStop& stop) {
  const std::int64_t idle_us = spec.recipe.get(Parameter::kIdleUsMax);
  const bool too_long = idle_us > 0 && (stop.lasts + stop.ramp).raw + kToNextShot.raw > idle_us;
  return too_long ? spec.recipe.get(Parameter::kUnsteadyCount) : 0;
}

}  // namespace

StopCost stop_cost(const PlantSpec& spec, const LineStop& stop) {
  const Fates fates(spec, stop);
  if (fates.motion().speed <= 0.0) return {};
  const double speed = fates.motion().speed;
  const FillerSpec& filler = spec.line.filler;
  const bool groups = filler.kind == FillerKind::kInline;
  const auto period = static_cast<double>(groups ? filler.group_pitch_um : filler.pitch_um);
  StopCost cost{std::numeric_limits<std::int64_t>::max(), 0};
  for (double phase = 0.0; phase < period; phase += period / kPhases) {
    cost.least = std::min(cost.least, count_lost(fates, filler, phase, true));
    cost.most = std::max(cost.most, count_lost(fates, filler, phase, false));
  }
  const std::int64_t neighbours = spec.recipe.get(Parameter::kRejectNeighbours);
  if (cost.most > 0) cost.most += 2 * neighbours;
  // One seen and one dosed between the last pulse before the stop and the one after it.
  if (spec.recipe.get(Parameter::kLandingErrorMaxUm) > 0) cost.most += 2;
  const std::int64_t idle = unsteady(spec, stop);
  cost.most += idle;
  const double after_s = static_cast<double>(idle) * travel_per_container_um(filler) / speed;
  cost.unsteady = Duration{static_cast<std::int64_t>(kUnsteadySlack * after_s * 1e6)};
  return cost;
}

}  // namespace rimebench
