#include "tests/properties/container_truth.hpp"

#include <algorithm>
#include <cstdlib>

namespace rimebench::properties {
namespace {

/// A wire's level over time.
class History {
 public:
  History(const Changes& changes, Channel channel) {
    for (const SignalChange& change : changes) {
      if (change.channel == channel) changes_.push_back(change);
    }
  }
  std::int32_t at(Instant time) const {
    const auto after =
        std::upper_bound(changes_.begin(), changes_.end(), time,
                         [](Instant t, const SignalChange& change) { return t < change.at; });
    return after == changes_.begin() ? 0 : (after - 1)->value;
  }

 private:
  Changes changes_;
};

struct Shot {
  Instant opened;
  Instant closed;
  bool stream = false;
};

std::vector<Shot> shots_of(const Changes& outputs) {
  std::vector<Shot> shots;
  for (const SignalChange& change : outputs) {
    if (change.channel != Channel::kValve) continue;
    if (change.value == 1) shots.push_back({change.at, kNever});
    if (change.value == 0) shots.back().closed = change.at;
  }
  for (const SignalChange& change : outputs) {
    if (change.channel != counter_channel(Counter::kStreamBegun)) continue;
    for (Shot& shot : shots) shot.stream = shot.stream || shot.opened == change.at;
  }
  return shots;
}

/// Belt position at which the container's centre is under the nozzle.
std::int64_t under_nozzle(const StagedLine& line, const TrueContainer& container) {
  return container.leading_um + line.plan.width_um / 2 + kSensorToNozzle;
}

/// How far a shot may land from the centre: what is late is allowed to be, a pulse where the speed
/// was not the same since the last pulses, and what the belt did after the valve had opened.
std::int64_t allowed_off_um(const StagedLine& line, const TrueContainer& container,
                            const Shot& shot, Instant landing) {
  const RecipeValues& recipe = line.recipes[container.recipe];
  const std::int64_t pitch = line.plan.pulsed ? line.plan.pulse_pitch_um : 0;
  const std::int64_t since_pulse = line.belt.at(shot.opened) - 2 * pitch;
  const Instant before = line.belt.time_of(since_pulse);
  const std::int64_t us = std::max<std::int64_t>(1, (shot.opened - before).raw);
  const std::int64_t expected =
      pitch == 0 ? line.plan.speed_um_per_s * (landing - shot.opened).raw / 1'000'000
                 : 2 * pitch * (landing - shot.opened).raw / us;
  const std::int64_t really = line.belt.at(landing) - line.belt.at(shot.opened);
  return recipe.get(Parameter::kLandingLateMaxUm) + 100 + 2 * pitch +
         2 * std::abs(really - expected);
}

void take_shot(const StagedLine& line, const Shot& shot, std::vector<Fate>& fates) {
  const RecipeValues& recipe = line.recipes.front();
  const std::int64_t open_us = (shot.closed - shot.opened).raw;
  const std::int64_t lead_us =
      recipe.get(Parameter::kFlightUs) + (recipe.get(Parameter::kValveOpenDelayUs) +
                                          recipe.get(Parameter::kValveCloseDelayUs) + open_us) /
                                             2;
  const Instant landing = shot.opened + Duration{lead_us};
  const std::int64_t belt_um = line.belt.at(landing);
  const auto distance = [&](std::size_t i) {
    return std::abs(belt_um - under_nozzle(line, line.containers[i]));
  };
  std::size_t nearest = 0;
  for (std::size_t i = 0; i < fates.size(); ++i) {
    if (distance(i) < distance(nearest)) nearest = i;
  }
  // Cut as the belt stood still, it may fall behind a container that had its own.
  if (fates[nearest].shots > 0 && distance(nearest) > line.plan.width_um / 2) return;
  Fate& fate = fates[nearest];
  const TrueContainer& container = line.containers[nearest];
  ++fate.shots;
  fate.open_us = open_us;
  fate.offset_um = belt_um - under_nozzle(line, container);
  fate.off_allowed_um = allowed_off_um(line, container, shot, landing);
  fate.wait_us = (container.seam_at - landing).raw;
}

/// How far a container's time under the stream may be from what its speed had promised when it was
/// decided: the pulse, and what the belt did since.
std::int64_t allowed_off_us(const StagedLine& line, Instant decided, Instant front, Instant rear) {
  const std::int64_t pitch = line.plan.pulsed ? line.plan.pulse_pitch_um : 0;
  const std::int64_t opening_um = line.belt.at(rear) - line.belt.at(front);
  const Instant before = line.belt.time_of(line.belt.at(decided) - 2 * pitch);
  const std::int64_t two_us = std::max<std::int64_t>(1, (decided - before).raw);
  const std::int64_t expected_us = pitch == 0 ? opening_um * 1'000'000 / line.plan.speed_um_per_s
                                              : opening_um * two_us / (2 * pitch);
  const std::int64_t really_us = (rear - front).raw;
  return 100 + (pitch == 0 ? 0 : two_us) + 2 * std::abs(really_us - expected_us);
}

/// What a container gets of a stream: the flow while its opening is under it.
void take_stream(const StagedLine& line, const Shot& stream, std::vector<Fate>& fates) {
  const RecipeValues& recipe = line.recipes.front();
  const auto time = [&](Parameter p) { return Duration{recipe.get(p)}; };
  const Duration open_lead = time(Parameter::kFlightUs) + time(Parameter::kValveOpenDelayUs);
  const Instant from = stream.opened + open_lead;
  const Instant to =
      stream.closed + time(Parameter::kFlightUs) + time(Parameter::kValveCloseDelayUs);
  const std::int64_t half_um = recipe.get(Parameter::kOpeningUm) / 2;
  for (std::size_t i = 0; i < fates.size(); ++i) {
    const TrueContainer& container = line.containers[i];
    const std::int64_t centre_um = under_nozzle(line, container);
    const Instant front = line.belt.time_of(centre_um - half_um);
    const Instant rear = line.belt.time_of(centre_um + half_um);
    const Instant begins = later(from, front);
    const Instant ends = earlier(to, rear);
    if (begins >= ends) continue;
    const std::int64_t flow = recipe.get(Parameter::kStreamFlowUgPerS);
    const std::int64_t got_ug = flow * (ends - begins).raw / 1'000'000;
    const std::int64_t needs_ug = dose_ug(recipe, place_wait_us(line.plan, container.place));
    // What only brushes it was meant for its neighbour; one that stands still gets all of it.
    const bool brushed = line.belt.at(ends) - line.belt.at(begins) < half_um;
    if (brushed && 4 * got_ug < needs_ug) continue;
    Fate& fate = fates[i];
    ++fate.shots;
    fate.in_stream = true;
    fate.got_ug = got_ug;
    const Instant decided = later(stream.opened, front - open_lead);
    fate.got_allowed_ug = flow * allowed_off_us(line, decided, front, rear) / 1'000'000;
    fate.wait_us = (container.seam_at - line.belt.time_of(centre_um)).raw;
  }
}

/// It got its dose, in place.
bool dosed_right(const RecipeValues& recipe, const Fate& fate, std::int64_t expected_us) {
  if (!fate.in_stream) {
    return fate.open_us == open_us(recipe, expected_us) &&
           std::abs(fate.offset_um) <= fate.off_allowed_um;
  }
  const std::int64_t needs_ug = dose_ug(recipe, expected_us);
  const std::int64_t share = recipe.get(Parameter::kStreamDoseErrorMaxPpm);
  return std::abs(fate.got_ug - needs_ug) <= needs_ug * share / 1'000'000 + fate.got_allowed_ug;
}

bool good(const StagedLine& line, const TrueContainer& container, const Fate& fate) {
  const RecipeValues& recipe = line.recipes[container.recipe];
  const std::int64_t expected_us = place_wait_us(line.plan, container.place);
  const std::int64_t pitch = line.plan.pulsed ? line.plan.pulse_pitch_um : 0;
  // The controller knows the belt to a pulse, and so the seam to the time that takes.
  const std::int64_t seam_um = line.belt.at(container.seam_at);
  const std::int64_t slack_us =
      line.plan.queued ? 1'000
                       : 1'000 + (line.belt.time_of(seam_um + pitch) -
                                  line.belt.time_of(std::max<std::int64_t>(0, seam_um - pitch)))
                                     .raw;
  return container.plausible && fate.shots == 1 && dosed_right(recipe, fate, expected_us) &&
         std::abs(fate.wait_us - expected_us) <= recipe.get(Parameter::kWaitErrorMaxUs) + slack_us;
}

}  // namespace

std::vector<Fate> fates_of(const StagedLine& line, const Changes& outputs) {
  std::vector<Fate> fates(line.containers.size());
  for (const Shot& shot : shots_of(outputs)) {
    shot.stream ? take_stream(line, shot, fates) : take_shot(line, shot, fates);
  }
  const History reject(outputs, Channel::kReject);
  for (std::size_t i = 0; i < fates.size(); ++i) {
    const TrueContainer& container = line.containers[i];
    fates[i].rejected = reject.at(line.belt.time_of(container.gate_um)) == 1;
    fates[i].good = good(line, container, fates[i]);
  }
  return fates;
}

void check_containers(const StagedLine& line, const std::vector<Fate>& fates,
                      const WireRules& rules) {
  std::int64_t rejected = 0;
  std::int64_t bad = 0;
  for (std::size_t i = 0; i < fates.size(); ++i) {
    const std::int64_t at_us = line.belt.time_of(line.containers[i].gate_um).us;
    must(fates[i].shots <= 1, at_us, "passes the gate: a container with two shots");
    must(fates[i].good || fates[i].rejected, at_us,
         "passes the gate: a bad container, not rejected");
    if (fates[i].rejected) ++rejected;
    if (!fates[i].good) ++bad;
  }
  const std::int64_t counted = rules.counter(Counter::kRejected);
  must(counted <= rejected, line.end.us, "more counted as rejected than were in the gate");
  must(counted >= bad, line.end.us, "fewer counted as rejected than were bad");
  const std::int64_t refused = rules.counter(Counter::kTooSlow) + rules.counter(Counter::kTooLate) +
                               rules.counter(Counter::kNotRunning) +
                               rules.counter(Counter::kDoseOutOfRange) +
                               rules.counter(Counter::kRestTooShort);
  const auto containers = static_cast<std::int64_t>(fates.size());
  must(rules.openings() + refused <= containers, line.end.us,
       "more shots and refusals than containers");
  must(rules.level(Channel::kReject) == 0, line.end.us,
       "the gate stays out after the last container");
}

void check_calm(const StagedLine& line, const std::vector<Fate>& fates) {
  for (std::size_t i = 0; i < fates.size(); ++i) {
    const std::int64_t at_us = line.belt.time_of(line.containers[i].gate_um).us;
    must(fates[i].good, at_us, "passes the gate: not good, though nothing happened");
    must(!fates[i].rejected, at_us, "passes the gate: rejected, though nothing happened");
  }
}

}  // namespace rimebench::properties
