#include "tests/properties/staged_line.hpp"

#include <algorithm>

#include "tests/properties/recipes.hpp"

namespace rimebench::properties {
namespace {

constexpr std::int64_t kLatency = 500;  ///< of the sensor, us

class LineWriter {
 public:
  explicit LineWriter(const LinePlan& plan) : plan_(plan), speed_(plan.speed_um_per_s) {
    line_.plan = plan;
    line_.feedback.push_back({Instant{0}, plan.feedback_us > 0 ? plan.feedback_us / 2 : -1});
    start();
  }

  void container(std::int64_t width_um) {
    line_.containers.push_back({.leading_um = next_um_,
                                .width_um = width_um,
                                .place = place_,
                                .plausible = width_um == plan_.width_um,
                                .delay_us = seamer_pause_us_,
                                .recipe = line_.recipes.size() - 1});
    seamer_pause_us_ = 0;
    if (place_ == 0 && plan_.group > 1) {
      group_starts_um_.push_back(next_um_ - 2 * (plan_.width_um + plan_.gap_um));
    }
    place_ = (place_ + 1) % plan_.group;
    next_um_ += plan_.width_um + plan_.gap_um;
    advance_to(next_um_ - plan_.gap_um / 2);
  }

  void happen(const Episode& episode);
  StagedLine finish();

 private:
  void set(Channel channel, std::int32_t value) { set_at(line_.belt.now(), channel, value); }
  void set_at(Instant at, Channel channel, std::int32_t value) {
    line_.inputs.push_back({at, channel, value});
  }
  void press(Channel button) {
    set(button, 1);
    set_at(line_.belt.now() + Duration{300}, button, 0);
  }
  void advance_to(std::int64_t um) {
    const std::int64_t distance = um - line_.belt.position_um();
    if (distance > 0)
      line_.belt.move(distance, std::max<std::int64_t>(1, distance * 1'000'000 / speed_));
  }
  void stand(std::int64_t us) { line_.belt.stand(us); }

  void start();
  void go_on();
  void halt(std::int64_t stand_us);
  void change_speed(std::int64_t strength);
  void lose(Channel wire, std::int64_t strength);
  void chatter();
  void new_recipe(std::int64_t strength);
  void lose_feedback(std::int64_t strength);
  void drain();
  void write_sensor();
  void write_chatter();
  void write_belt();
  void write_discharge();

  LinePlan plan_;
  StagedLine line_;
  std::int64_t speed_;
  std::int64_t next_um_ = 500'000;
  int place_ = 0;
  std::int64_t seamer_pause_us_ = 0;
  RecipeValues staged_;
  std::vector<std::int64_t> group_starts_um_;
  std::vector<Instant> chatter_at_;
};

void LineWriter::start() {
  stand(1'000);
  for (const Channel wire : {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kLinkAlive}) {
    set(wire, 1);
  }
  line_.recipes.push_back(recipe_for(plan_));
  staged_ = line_.recipes.back();
  stage(line_.inputs, line_.belt.now(), RecipeValues{}, staged_);
  go_on();
  advance_to(next_um_ - plan_.gap_um / 2);
}

/// The operator clears what is latched and starts; the line gives its permit and moves.
void LineWriter::go_on() {
  stand(1'000);
  for (const Channel button :
       {Channel::kOperatorReset, Channel::kOperatorReset, Channel::kOperatorStart}) {
    press(button);
    stand(600);
  }
  set(Channel::kRunPermit, 1);
}

/// Without a pulse the belt is taken to stand where the permit goes; with one it coasts.
void LineWriter::halt(std::int64_t stand_us) {
  set(Channel::kRunPermit, 0);
  if (plan_.pulsed) line_.belt.move(plan_.gap_um / 4, plan_.gap_um / 4 * 2'000'000 / speed_);
  stand(stand_us);
}

void LineWriter::change_speed(std::int64_t strength) {
  if (!plan_.pulsed) return;
  const std::int64_t target = 100'000 + strength * 800;
  const std::int64_t from = speed_;
  for (int step = 1; step <= 10; ++step) {
    speed_ = from + (target - from) * step / 10;
    line_.belt.move(plan_.gap_um / 40, plan_.gap_um / 40 * 1'000'000 / speed_);
  }
}

void LineWriter::lose(Channel wire, std::int64_t strength) {
  set(wire, 0);
  halt(10'000 + strength * 1'000);
  set(wire, 1);
  go_on();
}

void LineWriter::chatter() {
  if (plan_.gap_um * 1'000 / speed_ < 20) return;
  chatter_at_.push_back(line_.belt.now() + Duration{300});
}

void LineWriter::new_recipe(std::int64_t strength) {
  set(Channel::kOperatorStop, 1);
  halt(20'000);
  set(Channel::kOperatorStop, 0);
  RecipeValues next = line_.recipes.back();
  next.set(Parameter::kDoseUg, static_cast<std::int32_t>(180'000 + strength * 40));
  if (strength % 3 == 1) next.set(Parameter::kDebounceUs, -1);
  stand(1'000);
  stage(line_.inputs, line_.belt.now(), staged_, next);
  if (strength % 3 == 2) line_.inputs.back().value ^= 1;
  staged_ = next;
  if (strength % 3 == 0) line_.recipes.push_back(next);
  go_on();
}

void LineWriter::lose_feedback(std::int64_t strength) {
  if (plan_.feedback_us == 0) return;
  const bool late = strength % 2 == 0;
  line_.feedback.push_back({line_.belt.now(), late ? plan_.feedback_us + strength : -1});
  advance_to(next_um_ - plan_.gap_um / 3);
  for (int i = 0; i < 3; ++i) container(plan_.width_um);
  halt(300'000);
  line_.feedback.push_back({line_.belt.now(), plan_.feedback_us / 2});
  // The valve shows what it is commanded again: shut.
  go_on();
}

void LineWriter::happen(const Episode& episode) {
  switch (episode.what) {
    case Happening::kNothing:
    case Happening::kCount:
      break;
    case Happening::kSpeed:
      return change_speed(episode.strength);
    case Happening::kStop:
      halt(1'000 + episode.strength * 2'000);
      set(Channel::kRunPermit, 1);
      break;
    case Happening::kJam:
      if (plan_.pulsed) stand(episode.strength * 2'000);
      break;
    case Happening::kPermitFlicker:
      set(Channel::kRunPermit, 0);
      plan_.pulsed ? advance_to(line_.belt.position_um() + plan_.gap_um / 8) : stand(500);
      set(Channel::kRunPermit, 1);
      break;
    case Happening::kChatter:
      return chatter();
    case Happening::kNarrow:
      return container(plan_.width_um / 2);
    case Happening::kClose:
      next_um_ -= plan_.gap_um / 2 - 4'000;
      return container(plan_.width_um);
    case Happening::kMissing:
      next_um_ += plan_.width_um + plan_.gap_um;
      return advance_to(next_um_ - plan_.gap_um / 2);
    case Happening::kSafetyChain:
      return lose(Channel::kSafetyChain, episode.strength);
    case Happening::kLink:
      return lose(Channel::kLinkAlive, episode.strength);
    case Happening::kSupply:
      return lose(Channel::kSupplyReady, episode.strength);
    case Happening::kOperatorStop:
      press(Channel::kOperatorStop);
      container(plan_.width_um);
      container(plan_.width_um);
      halt(1'000);
      return go_on();
    case Happening::kFeedbackLost:
      return lose_feedback(episode.strength);
    case Happening::kRecipe:
      return new_recipe(episode.strength);
    case Happening::kSeamerStop:
      seamer_pause_us_ += episode.strength * 2'000;
      break;
  }
}

/// The feed ends, the belt goes on until the last container has passed the gate.
void LineWriter::drain() {
  write_discharge();
  for (const TrueContainer& container : line_.containers) {
    while (line_.belt.position_um() < container.gate_um + 400'000) {
      advance_to(line_.belt.position_um() + 1'000'000);
      write_discharge();
    }
  }
}

/// When each container is seamed, and where it stands at the gate.
void LineWriter::write_discharge() {
  Instant last{-1'000'000};
  for (TrueContainer& container : line_.containers) {
    const std::int64_t centre_um = container.leading_um + plan_.width_um / 2;
    const Instant arrives = line_.belt.time_of(centre_um + kSensorToNozzle + kNozzleToSeam);
    container.gate_um = centre_um + 1'500'000;
    container.seam_at = arrives;
    if (!plan_.queued) continue;
    if (arrives == kNever) continue;
    container.seam_at =
        later(arrives + Duration{100'000 * container.place}, last + Duration{60'000}) +
        Duration{container.delay_us};
    last = container.seam_at;
    const Instant discharged = container.seam_at + Duration{60'000};
    container.gate_um = line_.belt.at(discharged) + plan_.width_um / 2 + 700'000;
  }
}

void LineWriter::write_sensor() {
  for (const TrueContainer& container : line_.containers) {
    const Instant edge = line_.belt.time_of(container.leading_um);
    const Instant end = line_.belt.time_of(container.leading_um + container.width_um);
    set_at(edge + Duration{kLatency}, Channel::kContainerSensor, 1);
    set_at(end + Duration{kLatency}, Channel::kContainerSensor, 0);
    if (!plan_.queued) continue;
    const Instant discharged = container.seam_at + Duration{60'000};
    set_at(discharged, Channel::kDischargeSensor, 1);
    set_at(discharged + Duration{20'000}, Channel::kDischargeSensor, 0);
  }
}

/// Only where no container is: one that the sensor shows for less than the debounce is one that it
/// does not show at all.
void LineWriter::write_chatter() {
  for (const Instant from : chatter_at_) {
    const Instant to = from + Duration{900};
    const bool alone = std::none_of(
        line_.containers.begin(), line_.containers.end(), [&](const TrueContainer& container) {
          const Instant edge = line_.belt.time_of(container.leading_um);
          const Instant end = line_.belt.time_of(container.leading_um + container.width_um);
          return edge + Duration{kLatency} <= to && from <= end + Duration{kLatency};
        });
    if (!alone) continue;
    set_at(from, Channel::kContainerSensor, 1);
    set_at(to, Channel::kContainerSensor, 0);
  }
}

void LineWriter::write_belt() {
  for (const std::int64_t um : group_starts_um_) {
    const Instant at = line_.belt.time_of(um);
    set_at(at, Channel::kGroupStart, 1);
    set_at(at + Duration{2'000}, Channel::kGroupStart, 0);
  }
  if (!plan_.pulsed) return;
  std::int32_t level = 0;
  const std::int64_t most_um = line_.belt.position_um();
  for (std::int64_t um = plan_.pulse_pitch_um; um <= most_um; um += plan_.pulse_pitch_um) {
    level = 1 - level;
    set_at(line_.belt.time_of(um), Channel::kLinePulse, level);
  }
}

StagedLine LineWriter::finish() {
  drain();
  write_sensor();
  write_chatter();
  write_belt();
  line_.inputs = canonical(std::move(line_.inputs));
  line_.end = line_.belt.now();
  return std::move(line_);
}

}  // namespace

StagedLine stage_line(const LinePlan& plan) {
  LineWriter writer(plan);
  for (const Episode& episode : plan.episodes) {
    for (std::int64_t i = 0; i < episode.containers; ++i) writer.container(plan.width_um);
    writer.happen(episode);
  }
  for (int i = 0; i < 4; ++i) writer.container(plan.width_um);
  return writer.finish();
}

}  // namespace rimebench::properties
