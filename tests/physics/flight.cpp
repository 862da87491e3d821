#include "plant_model/physics/flight.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <numbers>

#include "tests/physics/relative_error.hpp"

namespace rimebench::physics {
namespace {

constexpr double kJet_m = 1.0e-3;
constexpr double kOpening_m = 26.2e-3;
constexpr std::array<Plane, 1> kRim{{{kOpening_m, 0.0}}};

TEST_CASE("flight: a shot that starts at rest falls 100 mm in 143 ms") {
  CHECK(relative_error(fall_time_s(0.0, 0.1), std::sqrt(0.2 / 9.80665)) < 1.0e-12);
  CHECK(fall_time_s(2.0, 0.0) == 0.0);
}

TEST_CASE("flight: 15 mm from rim to drink takes a 2.3 m/s jet 6.5 ms, 20 mm of travel at 3 m/s") {
  const double seconds = fall_time_s(2.3, 0.015);
  CHECK(std::abs(seconds - 6.5e-3) < 0.15e-3);
  CHECK(std::abs(3.0 * seconds - 20.0e-3) < 1.0e-3);
}

TEST_CASE("flight: two fallen pieces take as long as the whole") {
  const double middle = fall_speed_m_per_s(2.2, 0.04);
  CHECK(relative_error(fall_time_s(2.2, 0.04) + fall_time_s(middle, 0.03), fall_time_s(2.2, 0.07)) <
        1.0e-12);
}

TEST_CASE("landing: a jet inside is caught whole, on the edge by half, outside not at all") {
  CHECK(jet_share(kJet_m, kOpening_m, 0.0) == 1.0);
  CHECK(jet_share(kJet_m, kOpening_m, kOpening_m - kJet_m) == 1.0);
  const double edge = jet_share(kJet_m, kOpening_m, kOpening_m);
  CHECK(edge > 0.48);
  CHECK(edge < 0.5);
  CHECK(jet_share(kJet_m, kOpening_m, kOpening_m + kJet_m) == 0.0);
}

TEST_CASE("landing: two equal circles one radius apart share 2 pi/3 - sqrt(3)/2 of a unit area") {
  const double lens = 2.0 * std::numbers::pi / 3.0 - std::sqrt(3.0) / 2.0;
  CHECK(relative_error(overlap_m2(1.0, 1.0, 1.0), lens) < 1.0e-12);
}

TEST_CASE("landing: the overlap of two circles agrees with counting a fine grid") {
  constexpr int kCells = 2000;
  int inside = 0;
  for (int i = 0; i < kCells; ++i) {
    for (int j = 0; j < kCells; ++j) {
      const double x = 2.0 * (i + 0.5) / kCells - 1.0;
      const double y = 2.0 * (j + 0.5) / kCells - 1.0;
      if (std::hypot(x, y) < 1.0 && std::hypot(x - 2.4, y) < 2.0) ++inside;
    }
  }
  CHECK(std::abs(overlap_m2(1.0, 2.0, 2.4) - 4.0 * inside / (1.0 * kCells * kCells)) < 1.0e-3);
}

TEST_CASE("landing: the 26.9 mm streak is caught by a 202 can but not by a 21.7 mm bottle bore") {
  const Streak streak{0.75e-3, 26.88e-3, 0.0, 0.0};
  CHECK(captured_share(streak, kRim, 0.0) == 1.0);
  const std::array<Plane, 1> bottle{{{0.5 * 21.7e-3, 0.0}}};
  const double caught = captured_share(streak, bottle, 0.0);
  // Half the circles at either end hang over: about 21.7 / 26.9 of the streak.
  CHECK(std::abs(caught - 21.7 / 26.88) < 0.01);
}

TEST_CASE("landing: half a streak beyond the edge is half caught, less what the rim splashes") {
  const Streak over{kJet_m, 20.0e-3, kOpening_m, 0.0};
  const double caught = captured_share(over, kRim, 0.0);
  CHECK(std::abs(caught - 0.5) < 0.01);
  CHECK(captured_share(over, kRim, 0.5) < caught);
  CHECK(captured_share(over, kRim, 0.5) > caught - 0.03);
  CHECK(captured_share({kJet_m, 20.0e-3, 0.0, 30.0e-3}, kRim, 0.0) == 0.0);
}

TEST_CASE("landing: a shot that clears the rim can still miss the drink at 3 m/s") {
  const Streak streak{kJet_m, 26.9e-3, 0.0, 0.0};
  const std::array<Plane, 2> fast{{{kOpening_m, 0.0}, {kOpening_m, 3.0 * fall_time_s(2.3, 0.015)}}};
  CHECK(captured_share(streak, kRim, 0.0) == 1.0);
  CHECK(captured_share(streak, fast, 0.0) < 0.85);
  // Laid half that travel ahead, it clears both.
  const Streak ahead{kJet_m, 26.9e-3, -0.5 * fast[1].along_shift_m, 0.0};
  CHECK(captured_share(ahead, fast, 0.0) > 0.95);
}

TEST_CASE(
    "stream: each can gets what falls while its opening passes, 42 % is lost at 90 mm pitch") {
  CHECK(std::abs(stream_lost_share(kOpening_m, 0.090) - 0.42) < 0.003);
  CHECK(relative_error(stream_dose_kg(2.0e-3, kOpening_m, 1.5), 2.0e-3 * 0.0524 / 1.5) < 1.0e-12);
  CHECK(stream_lost_share(kOpening_m, 0.050) == 0.0);
}

}  // namespace
}  // namespace rimebench::physics
