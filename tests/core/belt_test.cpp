#include "firmware_sim/core/belt.hpp"

#include <doctest/doctest.h>

#include "tests/core/line_on_rails.hpp"

using namespace rimebench;

namespace {

void pulse(Belt& belt, Instant at) { belt.on_pulse(at, Recipe(rails::rotary_recipe()), true); }

/// A belt with pulses every 6 mm, seen at 10 000 and 20 000 us: 600 mm/s.
Belt pulsed_belt() {
  Belt belt;
  belt.configure(Instant{0}, Recipe(rails::rotary_recipe()), true);
  pulse(belt, Instant{10'000});
  pulse(belt, Instant{20'000});
  return belt;
}

Belt belt_without_pulses(bool running) {
  RecipeValues values = rails::rotary_recipe();
  values.set(Parameter::kLinePulsePitchUm, 0);
  values.set(Parameter::kLineSpeedUmPerS, 600'000);
  Belt belt;
  belt.configure(Instant{0}, Recipe(values), running);
  return belt;
}

}  // namespace

TEST_CASE("belt: half a pulse period after a pulse the belt has gone half a pitch further") {
  const Belt belt = pulsed_belt();
  CHECK(belt.position(Instant{20'000}) == 12_mm);
  CHECK(belt.position(Instant{25'000}) == 15_mm);
  CHECK(belt.speed(Instant{25'000}) == Speed{600'000});
}

TEST_CASE("belt: a pulse that has not come is never passed, however long it takes") {
  const Belt belt = pulsed_belt();
  CHECK(belt.position(Instant{29'999}) == 17'999_um);
  CHECK(belt.position(Instant{30'000}) == 17'999_um);
  CHECK(belt.position(Instant{9'000'000}) == 17'999_um);
}

TEST_CASE("belt: an overdue pulse is seen as a slowing belt, a due one not yet") {
  const Belt belt = pulsed_belt();
  CHECK(belt.speed(Instant{30'000}) == Speed{600'000});
  CHECK(belt.speed(Instant{40'000}) == Speed{300'000});
  CHECK(belt.speed(Instant{80'000}) == Speed{100'000});
}

TEST_CASE("belt: before two pulses the speed is 0 and nothing is extrapolated") {
  Belt belt;
  belt.configure(Instant{0}, Recipe(rails::rotary_recipe()), true);
  CHECK(belt.speed(Instant{5'000}) == Speed{0});
  pulse(belt, Instant{10'000});
  CHECK(belt.speed(Instant{15'000}) == Speed{0});
  CHECK(belt.position(Instant{15'000}) == 6_mm);
  CHECK(belt.time_of(7_mm) == kNever);
  CHECK(belt.arrival(7_mm) == kNever);
}

TEST_CASE("belt: a place before the next pulse has a time, one at or past it waits for the pulse") {
  const Belt belt = pulsed_belt();
  CHECK(belt.time_of(15_mm) == Instant{25'000});
  CHECK(belt.time_of(18_mm - 1_um) == Instant{29'999});
  CHECK(belt.time_of(18_mm) == kNever);
  CHECK(belt.arrival(18_mm) == Instant{30'000});
  CHECK(belt.arrival(6_mm) == Instant{10'000});
}

TEST_CASE("belt: the time of a place is the first microsecond at which the belt stands there") {
  for (const std::int64_t period : {10'000LL, 9'973LL, 5'999LL, 1'234LL, 777'777LL}) {
    Belt belt;
    belt.configure(Instant{0}, Recipe(rails::rotary_recipe()), true);
    pulse(belt, Instant{0});
    pulse(belt, Instant{period});
    for (Length place = 12_mm; place < 18_mm; place += 37_um) {
      const Instant at = belt.time_of(place);
      CHECK(belt.position(at) >= place);
      if (at > Instant{period}) CHECK(belt.position(at - 1_us) < place);
    }
  }
}

TEST_CASE("belt: without pulses it follows the line speed, and the run permit holds it") {
  Belt belt = belt_without_pulses(true);
  CHECK(belt.position(Instant{1'000'000}) == 600_mm);
  belt.on_run_permit(Instant{1'000'000}, false);
  CHECK(belt.position(Instant{5'000'000}) == 600_mm);
  CHECK(belt.speed(Instant{5'000'000}) == Speed{0});
  CHECK(belt.time_of(601_mm) == kNever);
  belt.on_run_permit(Instant{6'000'000}, true);
  CHECK(belt.position(Instant{6'500'000}) == 900_mm);
  CHECK(belt.time_of(1'200_mm) == Instant{7'000'000});
}

TEST_CASE("belt: after a day without pulses the position is still exact to the micrometre") {
  const Belt belt = belt_without_pulses(true);
  const Instant day{24LL * 3600 * 1'000'000};
  CHECK(belt.position(day) == Length{24LL * 3600 * 600'000});
  CHECK(belt.time_of(belt.position(day)) == day);
}

TEST_CASE("belt: a line that stood for a month goes on as if nothing had been") {
  Belt belt = pulsed_belt();
  const Instant month{30LL * 24 * 3600 * 1'000'000};
  CHECK(belt.speed(month) == Speed{0});
  pulse(belt, month);
  pulse(belt, month + 10_ms);
  CHECK(belt.position(month + 15_ms) == 27_mm);
  CHECK(belt.speed(month + 15_ms) == Speed{600'000});
}

TEST_CASE("belt: a container surely past the next pulse is one whose shot is") {
  const Belt belt = pulsed_belt();
  for (Length place = 0_mm; place < 80_mm; place += 100_um) {
    for (const Duration lead : {0_us, 1_us, 10_ms, 35_ms}) {
      if (!belt.surely_past_next_pulse(place, lead)) continue;
      CHECK(belt.arrival(place) - lead >= belt.next_pulse_expected());
    }
  }
  CHECK(belt.surely_past_next_pulse(39_mm, 35_ms));
  CHECK_FALSE(belt.surely_past_next_pulse(39_mm - 1_um, 35_ms));
}

TEST_CASE(
    "belt: a period just pulse_jump_max_ppm longer is a slower belt, one longer lost a pulse") {
  const auto verdict = [](std::int32_t row_max, std::int64_t period_us) {
    RecipeValues values = rails::rotary_recipe();
    values.set(Parameter::kImplausibleRowMax, row_max);
    values.set(Parameter::kPulseJumpMaxPpm, 500'000);
    Belt belt = pulsed_belt();
    belt.on_pulse(Instant{30'000}, Recipe(values), true);
    return belt.on_pulse(Instant{30'000 + period_us}, Recipe(values), true);
  };
  CHECK(verdict(3, 15'000) == PulseVerdict::kPlausible);
  CHECK(verdict(3, 15'001) == PulseVerdict::kLost);
  CHECK(verdict(0, 15'001) == PulseVerdict::kPlausible);  // not held against anything
}
