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
  const auto verdict = [](std::int32_t row_max, std::int64_t period_us,
                          std::int32_t jump_max_ppm = 500'000) {
    RecipeValues values = rails::rotary_recipe();
    values.set(Parameter::kImplausibleRowMax, row_max);
    values.set(Parameter::kPulseJumpMaxPpm, jump_max_ppm);
    Belt belt = pulsed_belt();
    belt.on_pulse(Instant{30'000}, Recipe(values), true);
    return belt.on_pulse(Instant{30'000 + period_us}, Recipe(values), true);
  };
  CHECK(verdict(3, 15'000) == PulseVerdict::kPlausible);
  CHECK(verdict(3, 15'001) == PulseVerdict::kLost);
  CHECK(verdict(0, 15'001) == PulseVerdict::kPlausible);  // not held against anything
  CHECK(verdict(3, 20'000, 0) == PulseVerdict::kPlausible);
}

TEST_CASE("belt: of pulses lost one after the other the first at full speed tells") {
  RecipeValues values = rails::rotary_recipe();
  values.set(Parameter::kImplausibleRowMax, 3);
  values.set(Parameter::kPulseJumpMaxPpm, 500'000);
  const Recipe recipe(values);
  using enum PulseVerdict;
  const auto verdicts = [&](Belt& belt, std::initializer_list<std::int64_t> pulses_ms,
                            bool permit = true) {
    std::vector<PulseVerdict> all;
    for (const std::int64_t ms : pulses_ms) {
      if (!permit) belt.on_run_permit(Instant{1000 * ms - 1}, false);
      all.push_back(belt.on_pulse(Instant{1000 * ms}, recipe, permit));
    }
    return all;
  };
  // A pulse each 10 ms, 6 mm.
  Belt twice = pulsed_belt();
  CHECK(verdicts(twice, {30, 50}) == std::vector{kPlausible, kLost});
  CHECK(twice.speed(Instant{50'000}) == Speed{600'000});
  CHECK(verdicts(twice, {70}) == std::vector{kPlausible});
  CHECK(verdicts(twice, {80, 90}) == std::vector{kLost, kPlausible});
  CHECK(twice.position(Instant{90'000}) - pulsed_belt().position(Instant{20'000}) == 42_mm);
  CHECK(twice.speed(Instant{90'000}) == Speed{600'000});

  Belt thrice = pulsed_belt();
  verdicts(thrice, {30, 50, 70, 90});
  CHECK(verdicts(thrice, {100}) == std::vector{kLost});
  CHECK(thrice.position(Instant{100'000}) - twice.position(Instant{90'000}) == 6_mm);

  Belt bounced = pulsed_belt();  // one pulse seen twice is not a thousand that were not
  verdicts(bounced, {30, 50, 70});
  CHECK(bounced.on_pulse(Instant{70'020}, recipe, true) == kPlausible);
  CHECK(bounced.position(Instant{70'020}) - pulsed_belt().position(Instant{20'000}) == 30_mm);

  Belt slower = pulsed_belt();
  verdicts(slower, {30, 50, 70, 90, 110, 130});
  CHECK(verdicts(slower, {140}) == std::vector{kPlausible});

  Belt gradual = pulsed_belt();  // 20 ms is not more than half longer than 14
  verdicts(gradual, {30, 50, 70});
  CHECK(verdicts(gradual, {84, 94}) == std::vector{kPlausible, kPlausible});

  Belt stopped = pulsed_belt();
  verdicts(stopped, {30, 50, 70});
  CHECK(verdicts(stopped, {90}, false) == std::vector{kPlausible});
  CHECK(verdicts(stopped, {100, 110}) == std::vector{kPlausible, kPlausible});
}
