#include "harness/audit/auditor.hpp"

#include <algorithm>
#include <cmath>

#include "plant_model/planner/trim_line.hpp"

namespace rimebench {

namespace {

/// A recipe may say that a container's centre is its edge.
constexpr double kReachMinUm = 1000.0;
/// Where the belt is not known.
constexpr double kFarUm = 1e15;
/// What is nearer together than this is no outlier: a controller foresees, and a belt speeds up.
constexpr double kFineUs = 100.0, kFineUm = 100.0;
/// By chance one way of matching fits a few shots better than the other.
constexpr std::int64_t kSlack = 2;

double value_of(const RecipeValues& recipe, Parameter parameter) {
  return static_cast<double>(recipe.get(parameter));
}

/// From the open command of a shot to the middle of its landing.
double lead_us(const RecipeValues& recipe, double length_us) {
  return value_of(recipe, Parameter::kFlightUs) +
         0.5 * (value_of(recipe, Parameter::kValveOpenDelayUs) +
                value_of(recipe, Parameter::kValveCloseDelayUs) + length_us);
}

double cap_um(const RecipeValues& recipe) { return value_of(recipe, Parameter::kEdgeToCentreUm); }

}  // namespace

double Auditor::way_um() const {
  return value_of(setup_.recipe, Parameter::kSensorToNozzleUm) + cap_um(setup_.recipe);
}

void Auditor::look() {
  report_.begin = line_.begin;
  report_.end = line_.end;
  report_.complete = line_.complete;
  report_.pulses = belt_.pulses();
  report_.pulsed = belt_.pulsed();
  report_.sightings = see_containers(line_, belt_, setup_.recipe);
  const double latency = value_of(setup_.recipe, Parameter::kSensorLatencyUs);
  for (const SeenContainer& seen : report_.sightings.containers) {
    AuditedContainer container;
    container.number = static_cast<std::int64_t>(report_.containers.size()) + 1;
    container.seen = seen;
    under_um_.push_back(seen.edge_um - latency * seen.speed_um_per_us + way_um());
    container.asked_us = belt_.time_at(under_um_.back());
    report_.containers.push_back(container);
  }
  const std::vector<Pulse> pulses = pulses_of(line_, Channel::kValve);
  for (const Pulse& pulse : pulses) report_.shots.push_back({pulse, 0, 0.0, 0.0, 0.0});
  // Open as the capture begins, or as it ends: half a shot.
  const auto edges = static_cast<std::int64_t>(changes_of(line_, Channel::kValve).size());
  report_.cut_shots = edges - 2 * static_cast<std::int64_t>(pulses.size());
  if (line_.first_level(Channel::kValve) != 0) --report_.cut_shots;
}

void Auditor::run(Node& node) {
  report_.core = run_core(line_, setup_.recipe, node);
  core_shots_ = pulses_of(report_.core.outputs, Channel::kValve);
  MatchScale scale = by_travel(core_shots_);
  scale.span = 0.0;  // it follows the recipe
  const ShotMatch match = match_shots(scale);
  for (AuditedContainer& container : report_.containers) container.core_doses = false;
  for (const std::int64_t owner : match.owner) {
    if (owner >= 0) report_.containers[static_cast<std::size_t>(owner)].core_doses = true;
  }
}

void Auditor::pair() {
  std::vector<Pulse> shots;
  for (const AuditedShot& shot : report_.shots) shots.push_back(shot.valve);
  const MatchScale travel = by_travel(shots), time = by_time(shots);
  const ShotMatch by_belt = match_shots(travel), by_clock = match_shots(time);
  report_.matched_by_time = belt_.pulsed() && by_clock.unmatched + kSlack < by_belt.unmatched;
  const ShotMatch& match = report_.matched_by_time ? by_clock : by_belt;
  for (std::size_t i = 0; i < match.owner.size(); ++i) {
    if (match.owner[i] < 0) continue;
    AuditedContainer& container = report_.containers[static_cast<std::size_t>(match.owner[i])];
    container.shots.push_back(i);
    measure_shot(report_.shots[i], container);
  }
  count_shots(report_.matched_by_time ? time : travel, match);
  count_containers(match);
}

MatchScale Auditor::by_travel(const std::vector<Pulse>& shots) const {
  MatchScale scale{under_um_, {}, reach_um(), 6.0 * reach_um()};
  for (const Pulse& shot : shots) scale.shots.push_back(landing_um(shot));
  return scale;
}

/// Time after the sensor's edge, against the delay that the recipe asks for on the mean.
MatchScale Auditor::by_time(const std::vector<Pulse>& shots) {
  MatchScale scale;
  std::vector<double> asked, speeds;
  for (const AuditedContainer& container : report_.containers) {
    scale.containers.push_back(container.seen.edge_us);
    speeds.push_back(container.seen.speed_um_per_us);
    if (container.asked_us) asked.push_back(*container.asked_us - container.seen.edge_us);
  }
  time_asked_us_ = median_of(asked);
  scale.reach = reach_um() / std::max(median_of(speeds), 1e-6);
  scale.span = 0.8 * time_asked_us_;
  for (const Pulse& shot : shots) {
    scale.shots.push_back(shot.from_us + lead_us(setup_.recipe, shot.length()) - time_asked_us_);
  }
  return scale;
}

/// Half a container, or half the way to the next one where they stand closer.
double Auditor::reach_um() const {
  std::vector<double> steps;
  for (std::size_t i = 1; i < under_um_.size(); ++i) {
    steps.push_back(under_um_[i] - under_um_[i - 1]);
  }
  const double cap = cap_um(setup_.recipe);
  return std::max(kReachMinUm, steps.empty() ? cap : std::min(cap, 0.5 * median_of(steps)));
}

double Auditor::landing_um(const Pulse& shot) const {
  const double at = shot.from_us + lead_us(setup_.recipe, shot.length());
  return belt_.position(at).value_or(at < belt_.known_from() ? -kFarUm : kFarUm);
}

void Auditor::measure_shot(AuditedShot& shot, const AuditedContainer& container) const {
  const std::size_t index = static_cast<std::size_t>(container.number) - 1;
  shot.container = container.number;
  shot.delay_us = shot.valve.from_us - container.seen.edge_us;
  if (!container.asked_us) return;
  const double lands = shot.valve.from_us + lead_us(setup_.recipe, shot.valve.length());
  shot.late_us = lands - *container.asked_us;
  shot.late_um = belt_.position(lands).value_or(under_um_[index]) - under_um_[index];
}

/// To dry, cool or test the head, with nothing under the nozzle: as long as those are, or fired by
/// the controller too.
bool Auditor::is_service(const Pulse& shot) const {
  for (const Parameter parameter : {Parameter::kCoolDownOpenUs, Parameter::kTestOpenUs}) {
    const double length = value_of(setup_.recipe, parameter);
    if (length > 0.0 && std::abs(shot.length() - length) <= setup_.within_us) return true;
  }
  const auto near =
      std::lower_bound(core_shots_.begin(), core_shots_.end(), shot.from_us - setup_.within_us,
                       [](const Pulse& core, double from_us) { return core.from_us < from_us; });
  return near != core_shots_.end() && near->from_us <= shot.from_us + setup_.within_us;
}

void Auditor::count_shots(const MatchScale& scale, const ShotMatch& match) {
  for (std::size_t i = 0; i < match.owner.size(); ++i) {
    if (match.owner[i] >= 0) continue;
    const double at = scale.shots[i] - match.shift;
    // Its container may have passed the sensor before the capture began, or before the belt's first
    // pulses; or it lands when the belt is not known any more.
    if (is_service(report_.shots[i].valve)) {
      ++report_.service;
    } else if (scale.containers.empty() || at < scale.containers.front() - scale.reach) {
      ++report_.before_capture;
    } else if (at > 0.5 * kFarUm) {
      ++report_.cut_shots;
    } else {
      report_.orphans.push_back({report_.shots[i].valve.from_us, 0});
    }
  }
}

void Auditor::count_containers(const ShotMatch& match) {
  const auto begin = static_cast<double>(line_.begin.us), end = static_cast<double>(line_.end.us);
  const double longest = value_of(setup_.recipe, Parameter::kOpenUsMax);
  for (AuditedContainer& container : report_.containers) {
    if (container.shots.size() > 1) {
      const AuditedShot& second = report_.shots[container.shots[1]];
      report_.doubles.push_back({second.valve.from_us, container.number});
    }
    if (!container.asked_us) continue;
    const double lands = report_.matched_by_time
                             ? container.seen.edge_us + time_asked_us_ + match.shift
                             : *container.asked_us;
    const double opens = lands - lead_us(setup_.recipe, longest);
    container.counted = opens > begin && lands + longest < end;
    if (!container.counted || !container.shots.empty()) continue;
    const bool meant = container.core_doses.value_or(true);
    (meant ? report_.missing : report_.refused).push_back({lands, container.number});
  }
}

void Auditor::average() {
  std::vector<double> late_us, late_um, delay_us;
  std::vector<DelayPoint> points;
  const double latency = value_of(setup_.recipe, Parameter::kSensorLatencyUs);
  for (const AuditedContainer& container : report_.containers) {
    if (container.shots.size() != 1) continue;
    const AuditedShot& shot = report_.shots[container.shots.front()];
    delay_us.push_back(shot.delay_us);
    if (!container.asked_us) continue;
    late_us.push_back(shot.late_us);
    late_um.push_back(shot.late_um);
    const double asked = *container.asked_us - (container.seen.edge_us - latency);
    points.push_back({asked + shot.late_us, asked / way_um()});
  }
  report_.late_us = measure(late_us, kFineUs);
  report_.late_um = measure(late_um, kFineUm);
  report_.delay_us = measure(delay_us, 1.0);
  if (belt_.pulsed()) report_.law = fit_delay(points);
}

void Auditor::by_place() {
  std::map<int, std::vector<double>> lengths, asked, off;
  for (const AuditedContainer& container : report_.containers) {
    if (container.shots.size() != 1) continue;
    const double length = report_.shots[container.shots.front()].valve.length();
    const int place = container.seen.place;
    lengths[place].push_back(length);
    if (const auto wanted = asked_length(container)) {
      asked[place].push_back(*wanted);
      off[place].push_back(length - *wanted);
    }
  }
  for (const auto& [place, values] : lengths) {
    PlaceAudit row;
    row.length_us = measure(values, 1.0);
    if (asked.contains(place)) row.asked_us = measure(asked[place], 1.0).mean.value;
    row.off_us = measure(off[place], 1.0);
    report_.places[place] = row;
  }
}

/// Nothing where the recipe's wait follows the queue, or its open time the head's pressure.
std::optional<double> Auditor::asked_length(const AuditedContainer& container) const {
  const RecipeValues& recipe = setup_.recipe;
  if (recipe.get(Parameter::kHeadCurvePpm) != 0) return std::nullopt;
  double wait_us = value_of(recipe, Parameter::kWaitFixedUs);
  switch (static_cast<WaitSource>(recipe.get(Parameter::kWaitSource))) {
    case WaitSource::kFixed:
      break;
    case WaitSource::kBeltSpeed: {
      const auto speed = belt_.speed(report_.shots[container.shots.front()].valve.from_us);
      if (!speed || *speed <= 0.0) return std::nullopt;
      wait_us = value_of(recipe, Parameter::kNozzleToSeamUm) / *speed;
      break;
    }
    case WaitSource::kPlace:
      if (!report_.sightings.places_known) return std::nullopt;
      wait_us = recipe.get(Parameter::kPlaceWaitUs, container.seen.place - 1);
      break;
    case WaitSource::kQueue:
      return std::nullopt;
  }
  return open_us_of(recipe, recipe_dose_ug(recipe, wait_us * 1e-6));
}

void Auditor::fit_latencies() {
  report_.valve = fit_valve_latency(line_, setup_.line);
  if (!belt_.pulsed()) return;
  report_.sensor = fit_sensor_latency(report_.sightings.containers, setup_.line,
                                      value_of(setup_.recipe, Parameter::kLinePulsePitchUm));
}

/// The first container that a controller which knows nothing of what came before can dose.
const AuditedContainer* Auditor::first_followed() const {
  for (const AuditedContainer& container : report_.containers) {
    const bool followed = container.seen.edge_us > belt_.followed_from();
    if (container.counted && container.asked_us && followed) return &container;
  }
  return nullptr;
}

std::optional<double> Auditor::compared_from() const {
  if (report_.core.own_start) return std::max<double>(0.0, static_cast<double>(line_.begin.us));
  const AuditedContainer* const first = first_followed();
  if (first == nullptr) return std::nullopt;
  const double length = first->shots.empty() ? value_of(setup_.recipe, Parameter::kOpenUsMin)
                                             : report_.shots[first->shots.front()].valve.length();
  return *first->asked_us - lead_us(setup_.recipe, length) - 2.0 * setup_.within_us;
}

/// When that container has passed the gate: what was rejected before stood on the belt already, and
/// a controller that comes up rejects all of that. Behind a queue nobody knows.
std::optional<double> Auditor::gate_from() const {
  const RecipeValues& recipe = setup_.recipe;
  if (recipe.get(Parameter::kTransport) != static_cast<int>(Transport::kLocked))
    return std::nullopt;
  const AuditedContainer* const first = first_followed();
  if (first == nullptr) return std::nullopt;
  const double under = under_um_[static_cast<std::size_t>(first->number) - 1];
  const double centre = under - value_of(recipe, Parameter::kSensorToNozzleUm);
  return belt_.time_at(centre + value_of(recipe, Parameter::kSensorToGateUm) +
                       value_of(recipe, Parameter::kGateAfterUm) +
                       value_of(recipe, Parameter::kLinePulsePitchUm) + reach_um());
}

void Auditor::compare() {
  const auto from = compared_from();
  if (!report_.core.ran_at_us || !from) return;
  CoreComparer comparer(line_, report_.core, setup_.within_us);
  for (const Channel channel : line_.wires) {
    if (class_of(channel) != ChannelClass::kFromController) continue;
    const bool level = channel <= Channel::kSupplyIsolation;
    const auto channel_from =
        channel == Channel::kReject && !report_.core.own_start ? gate_from() : from;
    if (report_.core.own_start || (level && channel_from)) {
      comparer.compare(channel, std::max(*from, channel_from.value_or(*from)));
    } else {
      comparer.leave_out(channel);
    }
  }
  report_.comparison = comparer.finish(*from);
}

}  // namespace rimebench
