#include "firmware_sim/core/landing_check.hpp"

#include <doctest/doctest.h>

#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

constexpr Length kPitch{25'000};
constexpr Duration kPeriod{50'000};

/// A belt at 0.5 m/s whose next pulse comes when it is told to, and one container whose shot has
/// been aimed at it.
class Bench {
 public:
  explicit Bench(std::int32_t error_max_um) {
    RecipeValues values = rotary_recipe();
    values.set(Parameter::kLinePulsePitchUm, static_cast<std::int32_t>(kPitch.raw));
    values.set(Parameter::kLandingErrorMaxUm, error_max_um);
    recipe_ = Recipe(values);
    belt_.configure(Instant{0}, recipe_, true);
    belt_.on_pulse(Instant{0}, recipe_, true);
    belt_.on_pulse(now_, recipe_, true);
  }

  /// Aimed to meet its centre this long after the last pulse, at the speed of the last period.
  void aim(Duration after, bool dosed = true) {
    const Length there = belt_.position(now_) + Length{after.raw * kPitch.raw / kPeriod.raw};
    queue_.admit(
        {.centre = there - recipe_.sensor_to_nozzle, .dosed = dosed, .landing = now_ + after});
    queue_.decide();
  }
  /// Its edge passed the sensor this long after the last pulse, and was placed by that speed.
  void see(Duration after) {
    const Length edge = belt_.position(now_) + Length{after.raw * kPitch.raw / kPeriod.raw};
    queue_.admit({.centre = edge + recipe_.edge_to_centre, .seen = now_ + after});
  }
  bool pulse_after(Duration period) {
    const PulseSpan span{now_, now_ + period, belt_.position(now_)};
    now_ = span.to;
    belt_.on_pulse(now_, recipe_, true);
    return check_landings(span, belt_, recipe_, queue_, counters_);
  }
  bool flagged(std::size_t index = 0) const { return queue_[index].flagged; }
  int count() const { return counters_.value(Counter::kLandingOff); }

 private:
  Recipe recipe_;
  Belt belt_;
  ContainerQueue queue_;
  Counters counters_;
  Instant now_{50'000};
};

}  // namespace

TEST_CASE("landing: a belt that keeps its speed carries the container under its shot") {
  Bench bench(2'000);
  bench.aim(Duration{30'000});
  CHECK_FALSE(bench.pulse_after(kPeriod));
  CHECK_FALSE(bench.flagged());
}

TEST_CASE("landing: a belt that sped up before the shot landed took the container past it") {
  // The pulse came at 40 ms: after 30 ms the belt was 18.75 mm on, not 15.
  Bench tight(3'700), wide(3'750);
  for (Bench* bench : {&tight, &wide}) bench->aim(Duration{30'000});
  CHECK(tight.pulse_after(Duration{40'000}));
  CHECK(tight.flagged());
  CHECK(tight.count() == 1);
  CHECK_FALSE(wide.pulse_after(Duration{40'000}));
}

TEST_CASE("landing: a belt that slowed or stopped left the container short of it") {
  // The pulse came at 100 ms: after 30 ms the belt was 7.5 mm on, not 15.
  Bench slowed(7'499), near(7'500), stopped(7'500);
  for (Bench* bench : {&slowed, &near, &stopped}) bench->aim(Duration{30'000});
  CHECK(slowed.pulse_after(Duration{100'000}));
  CHECK_FALSE(near.pulse_after(Duration{100'000}));
  CHECK(stopped.pulse_after(Duration{60'000'000}));
}

TEST_CASE("landing: every shot of the span is looked at once, refused containers never") {
  Bench bench(3'000);
  bench.aim(Duration{10'000});
  bench.aim(Duration{25'000}, false);
  bench.aim(Duration{38'000});
  bench.aim(Duration{45'000});  // lands after the next pulse
  CHECK(bench.pulse_after(Duration{40'000}));
  CHECK_FALSE(bench.flagged(0));  // 6.25 mm on, not 5
  CHECK_FALSE(bench.flagged(1));
  CHECK(bench.flagged(2));  // 23.75 mm on, not 19
  CHECK_FALSE(bench.flagged(3));
  CHECK(bench.count() == 1);
  // The last lands 5 ms into a span of 50 ms: 27.5 mm on, aimed at 22.5.
  CHECK(bench.pulse_after(kPeriod));
  CHECK(bench.flagged(3));
  CHECK(bench.count() == 2);
}

TEST_CASE("landing: without a limit nothing is looked at") {
  Bench bench(0);
  bench.aim(Duration{30'000});
  CHECK_FALSE(bench.pulse_after(Duration{60'000'000}));
  CHECK_FALSE(bench.flagged());
}

TEST_CASE("landing: a container seen between two pulses is where the second says it was seen") {
  // The pulse came at 40 ms: after 30 ms the belt was 18.75 mm on, not 15.
  Bench tight(3'700), wide(3'750), stopped(5'000);
  for (Bench* bench : {&tight, &wide, &stopped}) bench->see(Duration{30'000});
  CHECK(tight.pulse_after(Duration{40'000}));
  CHECK(tight.flagged());
  CHECK_FALSE(wide.pulse_after(Duration{40'000}));
  CHECK(stopped.pulse_after(Duration{2'000'000}));
  // It was looked at: the next pulse does not count it again.
  CHECK_FALSE(tight.pulse_after(Duration{90'000}));
  CHECK(tight.count() == 1);
}

TEST_CASE("landing: the pulse that shows it tells at once, though it brings nothing else") {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kLandingErrorMaxUm, 1'000);
  Script script;
  // The shot lands at 658 000, 4.8 mm on by the last period; by the pulse at 680 000 it was 1.6 mm.
  script.started(recipe).belt(0, 650'000, 10'000).container(103'000);
  script.belt(650'000, 680'000, 30'000).belt(680'000, 800'000, 10'000);
  CHECK(history(play(script, 800'000), Counter::kLandingOff) == "680000=1");
}
