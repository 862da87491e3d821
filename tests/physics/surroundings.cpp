#include <doctest/doctest.h>

#include <cmath>

#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/nitrogenation.hpp"
#include "plant_model/physics/package.hpp"
#include "plant_model/physics/room.hpp"
#include "plant_model/physics/vessel.hpp"
#include "tests/physics/relative_error.hpp"
#include "tests/physics/worked_can.hpp"

namespace rimebench::physics {
namespace {

constexpr double kHour_s = 3600.0;

TEST_CASE("room: the worked example's 300 m3 with two changes an hour and 5 m3/h of nitrogen") {
  const Ventilation room{300.0, 600.0, 5.0};
  CHECK(std::abs(100.0 * steady_oxygen_extract(room) - 20.78) < 0.005);
  const double spilt = 0.230 * 692.0;
  CHECK(std::abs(100.0 * oxygen_after_release(300.0, spilt) - 9.8) < 0.05);
  CHECK(std::abs(100.0 * oxygen_after_mixing_release(300.0, spilt) - 12.3) < 0.05);
  CHECK(std::abs(extract_for(5.0, 0.195) - 72.0) < 0.5);
}

TEST_CASE("room: both forms agree to the square of the nitrogen's share, and settle in the end") {
  for (const double nitrogen : {1.0, 5.0, 20.0}) {
    const Ventilation room{300.0, 600.0, nitrogen};
    const double share = nitrogen / 600.0;
    CHECK(std::abs(steady_oxygen_extract(room) - steady_oxygen_supply(room)) <
          kRoomOxygen * share * share);
    CHECK(relative_error(oxygen_after_extract(room, 100.0), steady_oxygen_extract(room)) < 1.0e-9);
    CHECK(relative_error(oxygen_after_supply(room, 100.0), steady_oxygen_supply(room)) < 1.0e-9);
    CHECK(relative_error(oxygen_after_extract(room, 0.0), kRoomOxygen) < 1.0e-12);
  }
}

TEST_CASE("room: more nitrogen than draught leaves no oxygen, a spill larger than the room too") {
  CHECK(steady_oxygen_extract({100.0, 5.0, 6.0}) == 0.0);
  CHECK(oxygen_after_release(100.0, 150.0) == 0.0);
}

TEST_CASE("vessel: 500 a minute at 77.5 mg draw 4.31 l/h: 38 h from 180 litres, 49 h from 230") {
  // Flash from 0.5 bar, 15 % in transfer, 30 W into the head, 92 % usable.
  const double drawn = drawn_m3_per_s({500.0 / 60.0 * 77.5e-6, 0.037, 0.15, 30.0});
  const auto hours = [&](double litres, double per_day) {
    const double all = drawn + own_boil_off_m3_per_s({litres * 1.0e-3, per_day});
    return 0.92 * litres * 1.0e-3 / all / kHour_s;
  };
  const double all_180 = drawn + own_boil_off_m3_per_s({0.180, 0.015});
  CHECK(std::abs(all_180 * 1.0e3 * kHour_s - 4.31) < 0.01);
  CHECK(std::abs(hours(180.0, 0.015) - 38.0) < 0.6);
  CHECK(std::abs(hours(230.0, 0.012) - 49.0) < 0.6);
  // About 0.43 kg of nitrogen a kilogram of stainless steel, from memory.
  CHECK(std::abs(cool_down_kg_per_kg() - 0.43) < 0.01);
}

TEST_CASE("nitrogenation: the time to a figure is the inverse of the figure after a time") {
  const Dissolving drink{20.0e-6, 98.6e-6, 5.3 * 24.0 * kHour_s};
  const auto seconds = seconds_until(drink, 60.0e-6);
  REQUIRE(seconds.has_value());
  CHECK(relative_error(dissolved_after(drink, *seconds), 60.0e-6) < 1.0e-12);
  CHECK_FALSE(seconds_until(drink, 98.6e-6).has_value());
  CHECK(*seconds_until(drink, 10.0e-6) == 0.0);
}

TEST_CASE("nitrogenation: early and late form of diffusion meet") {
  const double quarter = 0.25;
  double before = 0.0;
  for (double seconds = 1.0e3; seconds < 3.0e8; seconds *= 1.1) {
    const double now = diffusion_share(1.75e-9, quarter, seconds);
    CHECK(now > before);
    CHECK(now <= 1.0);
    before = now;
  }
  const double meets = 0.05 * 4.0 * quarter * quarter / (9.8696044011 * 1.75e-9);
  const double early = diffusion_share(1.75e-9, quarter, meets * 0.999999);
  CHECK(relative_error(early, diffusion_share(1.75e-9, quarter, meets * 1.000001)) < 1.0e-5);
}

TEST_CASE("package: a pack read while its nitrogen still boils reads low") {
  // At a time constant of 8 s only 22 % have boiled after 2 s.
  const double sealed_kg = 63.04 * worked::kMilligram;
  const Sealed can = worked::sealed(sealed_kg, worked::fill_kg(355.0), worked::kWait_s);
  const double left = remaining_kg(sealed_kg, {8.0, 1.0, sealed_kg}, 2.0);
  CHECK(std::abs(1.0 - left / sealed_kg - 0.22) < 0.005);
  const AtTemperature at = worked::at(20.0);
  const double now = prompt_gauge_Pa(not_yet_boiled(can, left), at).value();
  CHECK(now < 0.3 * prompt_gauge_Pa(can, at).value());
  CHECK(relative_error(prompt_gauge_Pa(not_yet_boiled(can, 0.0), at).value(),
                       prompt_gauge_Pa(can, at).value()) < 1.0e-12);
}

TEST_CASE("package: a plastic wall creeps by the logarithm of time, glass does not") {
  const Container bottle{500.0e-6, 293.15, 6.0e-11, 1.8e-4};
  const Creep creep{0.002, 3600.0};
  CHECK(crept(bottle, {0.0, 3600.0}, 1.0e6).brimful_m3 == bottle.brimful_m3);
  CHECK(relative_error(crept(bottle, creep, 3600.0).brimful_m3,
                       bottle.brimful_m3 * (1.0 + 0.002 * std::log(2.0))) < 1.0e-12);
}

TEST_CASE("package: salt and sugar drive gas out as ten to the minus K c") {
  CHECK(salting_out_share(0.232, 0.0) == 1.0);
  // About 15 % less in a drink with 10 % of sugar, 0.304 mol/L.
  CHECK(std::abs(salting_out_share(0.232, 0.304) - 0.85) < 0.005);
}

}  // namespace
}  // namespace rimebench::physics
