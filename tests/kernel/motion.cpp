#include "plant_model/kernel/motion.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>

#include "plant_model/kernel/random.hpp"

using namespace rimebench;

TEST_CASE("motion: a body falling 4.903325 m under standard gravity takes exactly 1 s") {
  // d = g t^2 / 2 with g = 9.80665 m/s^2 (CGPM 1901).
  CHECK(crossing(Length{4'903'325}, 0.0, 9'806'650.0) == 1_s);
}

TEST_CASE("motion: 300 mm at 900 mm/s take a third of a second, rounded up to the microsecond") {
  CHECK(crossing(300_mm, 900'000.0, 0.0) == 333'334_us);
  CHECK(crossing(300_mm, 1'000'000.0, 0.0) == 300_ms);
}

TEST_CASE("motion: from 0.5 m/s at 1 m/s^2 the mark at 1 m is crossed after 1 s") {
  CHECK(crossing(1000_mm, 500'000.0, 1'000'000.0) == 1_s);
}

TEST_CASE("motion: a belt braking at 2 m/s^2 from 1 m/s crosses 240 mm and never 251 mm") {
  CHECK(crossing(240_mm, 1'000'000.0, -2'000'000.0) == 400_ms);
  CHECK(crossing(250_mm, 1'000'000.0, -2'000'000.0) == 500_ms);
  CHECK(!crossing(251_mm, 1'000'000.0, -2'000'000.0));
  CHECK(!crossing(Length{250'001}, 1'000'000.0, -2'000'000.0));
}

TEST_CASE("motion: a belt that runs backwards and speeds up forwards comes back to a mark ahead") {
  // -1 t + t^2 = 2 has the root 2.
  CHECK(crossing(2000_mm, -1'000'000.0, 2'000'000.0) == 2_s);
}

TEST_CASE("motion: a mark behind is crossed backwards, as the mirror image") {
  CHECK(crossing(Length{-300'000}, -900'000.0, 0.0) == 333'334_us);
  CHECK(crossing(Length{-240'000}, -1'000'000.0, 2'000'000.0) == 400_ms);
  CHECK(!crossing(Length{-300'000}, 900'000.0, 0.0));
}

TEST_CASE("motion: a standing belt crosses nothing but the mark it stands on") {
  CHECK(!crossing(1_um, 0.0, 0.0));
  CHECK(!crossing(1_um, 0.0, -1.0));
  CHECK(!crossing(1_um, -5.0, 0.0));
  CHECK(crossing(0_um, 0.0, 0.0) == 0_us);
}

TEST_CASE("motion: an acceleration too small to matter changes nothing and loses no digits") {
  CHECK(crossing(300_mm, 1'000'000.0, 1e-9) == 300_ms);
  CHECK(crossing(300_mm, 1'000'000.0, -1e-9).value().raw - 300'000 <= 1);
}

TEST_CASE("motion: at the crossing the mark is reached, a microsecond before it is not") {
  RandomStream chance(21, 1, 0);
  int crossed = 0;
  for (int i = 0; i < 100'000; ++i) {
    const Length distance{static_cast<std::int64_t>(chance.word() % 3'000'000) + 1};
    const double speed = 4e6 * (chance.uniform() - 0.25);
    const double acceleration = 1e7 * (chance.uniform() - 0.5);
    const auto time = crossing(distance, speed, acceleration);
    if (!time) continue;
    ++crossed;
    const auto mark = static_cast<double>(distance.raw);
    // Rounded up, a belt about to turn may have passed the mark and come back by a hair.
    REQUIRE(travelled_um(speed, acceleration, *time) > mark - 1e-4);
    REQUIRE(travelled_um(speed, acceleration, *time - 1_us) < mark + 1e-6);
  }
  CHECK(crossed > 50'000);
}
