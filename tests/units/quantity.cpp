#include "firmware_sim/units/quantity.hpp"

#include <doctest/doctest.h>

using namespace rimebench;

TEST_CASE(
    "units: a container 300 mm from the nozzle at 0.9 m/s arrives after 333 333 us, not 334") {
  CHECK(travel_time_floor(300_mm, Speed{900'000}) == 333'333_us);
}

TEST_CASE("units: rounding goes the way its name says, for negative products too") {
  CHECK(mul_div_floor(-7, 1, 2) == -4);
  CHECK(mul_div_ceil(-7, 1, 2) == -3);
  CHECK(mul_div_floor(7, 1, 2) == 3);
  CHECK(mul_div_ceil(7, 1, 2) == 4);
  CHECK(mul_div_floor(6, 1, 2) == mul_div_ceil(6, 1, 2));
}

TEST_CASE("units: distance over time and back never gains a micrometre") {
  for (std::int64_t speed = 1'000; speed <= 3'000'000; speed += 7'919) {
    const Duration time = travel_time_floor(123'457_um, Speed{speed});
    CHECK(travel_floor(time, Speed{speed}) <= 123'457_um);
    CHECK(travel_floor(time + 1_us, Speed{speed}) >= 123'456_um);
  }
}

TEST_CASE("units: an instant takes a duration and gives one back") {
  const Instant start{1'000};
  CHECK((start + 5_ms) - start == 5'000_us);
  CHECK(earlier(start, kNever) == start);
  CHECK(later(start, start + 1_us) == start + 1_us);
}

TEST_CASE("units: literals say what they count") {
  CHECK(1_ms == 1'000_us);
  CHECK(1_s == 1'000'000_us);
  CHECK(1_mm == 1'000_um);
  CHECK(1_mg == 1'000_ug);
  CHECK(halved_floor(7_us) == 3_us);
  CHECK(-(5_us) == 0_us - 5_us);
}
