#include "harness/judge/valve_watch.hpp"

namespace rimebench {

namespace {

constexpr double kUgPerG = 1e6;

}  // namespace

ValveWatch::ValveWatch(const PlantSpec& plant)
    : flow_ug_per_us_(plant.line.valve.flow_ug_per_us), follow_us_(kFollowUs) {
  const std::int32_t recipe_us = plant.recipe.get(Parameter::kValveFeedbackUsMax);
  if (recipe_us > 0) follow_us_ = recipe_us;
}

/// A command still waiting as the next one of its kind comes was never followed.
void ValveWatch::on_command(Instant at, bool open) {
  std::optional<Instant>& told = open ? told_to_open_ : told_to_close_;
  if (told) followed(told, kNever);
  told = at;
}

void ValveWatch::on_actual(Instant at, bool open) {
  followed(open ? told_to_open_ : told_to_close_, at);
  if (!open) return closed(at);
  ++openings_;
  open_since_ = at;
}

void ValveWatch::followed(std::optional<Instant>& told, Instant at) {
  if (!told) return;
  if ((at - *told).raw > follow_us_ && stuck_++ == 0) {
    first_stuck_ = Breach{*told, 0, 0, Cause::kNone, {}};
  }
  told.reset();
}

void ValveWatch::closed(Instant at) {
  if (!open_since_) return;
  const std::int64_t lasted = (at - *open_since_).raw;
  open_us_ += lasted;
  if (lasted > longest_us_) {
    longest_us_ = lasted;
    longest_at_ = *open_since_;
  }
  open_since_.reset();
}

void ValveWatch::finish(Instant end) {
  followed(told_to_open_, end);
  followed(told_to_close_, end);
  closed(end);
}

double ValveWatch::nitrogen_g() const {
  return flow_ug_per_us_ * static_cast<double>(open_us_) / kUgPerG;
}

}  // namespace rimebench
