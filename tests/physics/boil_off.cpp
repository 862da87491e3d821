#include "plant_model/physics/boil_off.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "tests/physics/relative_error.hpp"

namespace rimebench::physics {
namespace {

constexpr double kMilligram = 1.0e-6;

TEST_CASE("boil-off: loss between drop and seam for calm, rigid and splashed layers") {
  struct Row {
    double flux_W_per_m2, layer_m, tau_s;
    std::array<double, 7> loss_percent;  // after 0.3, 0.5, 1, 1.5, 2, 3 and 5 s
  };
  constexpr std::array<double, 7> kSeconds{0.3, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0};
  constexpr std::array<Row, 5> kRows{
      {{22.0e3, 4.81e-3, 35.1, {0.9, 1.4, 2.8, 4.2, 5.5, 8.2, 13.3}},
       {30.0e3, 2.13e-3, 11.4, {2.6, 4.3, 8.4, 12.4, 16.1, 23.2, 35.6}},
       {40.0e3, 2.13e-3, 8.5, {3.5, 5.7, 11.1, 16.1, 20.9, 29.6, 44.3}},
       {40.0e3, 1.0e-3, 4.0, {7.2, 11.7, 22.1, 31.2, 39.2, 52.6, 71.2}},
       {40.0e3, 0.5e-3, 2.0, {13.9, 22.1, 39.2, 52.6, 63.1, 77.6, 91.7}}}};
  for (const Row& row : kRows) {
    const double tau = boil_off_time_constant_s(row.flux_W_per_m2, row.layer_m);
    CHECK(std::abs(tau - row.tau_s) < 0.06);
    for (std::size_t i = 0; i < kSeconds.size(); ++i) {
      CAPTURE(kSeconds[i]);
      const double left = remaining_kg(1.0, {tau, 1.0, 1.0}, kSeconds[i]);
      CHECK(std::abs(100.0 * (1.0 - left) - row.loss_percent[i]) < 0.11);
    }
  }
}

TEST_CASE(
    "boil-off: a splash that wets 5 cm2 loses 100 mg a second at 40 kW/m2, whatever the dose") {
  const double rate_kg_per_s = 40.0e3 * 5.0e-4 / kNitrogenLatentJPerKg;
  const DecayLaw wetted{1.0, 0.0, rate_kg_per_s};
  CHECK(std::abs(500.0 - remaining_kg(500.0 * kMilligram, wetted, 0.3) / kMilligram - 30.0) < 0.5);
  CHECK(std::abs(500.0 - remaining_kg(500.0 * kMilligram, wetted, 1.0) / kMilligram - 100.0) < 1.0);
  CHECK(remaining_kg(50.0 * kMilligram, wetted, 0.49) > 0.0);
  CHECK(remaining_kg(50.0 * kMilligram, wetted, 0.51) == 0.0);
}

TEST_CASE("boil-off: of 76 mg the puddle law leaves 31.8 after 7 s, the drop law only 27.1") {
  const DecayLaw puddle{8.027637, 1.0, 76.0 * kMilligram};
  const DecayLaw drops{8.027637, 2.0 / 3.0, 76.0 * kMilligram};
  CHECK(std::abs(remaining_kg(76.0 * kMilligram, puddle, 7.0) / kMilligram - 31.8) < 0.05);
  CHECK(std::abs(remaining_kg(76.0 * kMilligram, drops, 7.0) / kMilligram - 27.1) < 0.05);
  CHECK(std::abs(remaining_kg(76.0 * kMilligram, puddle, 12.0) / kMilligram - 17.1) < 0.1);
  CHECK(std::abs(remaining_kg(76.0 * kMilligram, drops, 12.0) / kMilligram - 9.6) < 0.05);
}

TEST_CASE("boil-off: every exponent starts at the same rate and undoes itself") {
  for (const double exponent : {0.0, 0.5, 2.0 / 3.0, 0.9, 1.0, 1.3}) {
    CAPTURE(exponent);
    const DecayLaw law{8.0, exponent, 76.0 * kMilligram};
    const double lost_kg = 76.0 * kMilligram - remaining_kg(76.0 * kMilligram, law, 1.0e-4);
    CHECK(relative_error(lost_kg / 1.0e-4, 76.0 * kMilligram / 8.0) < 1.0e-4);
    const double left_kg = remaining_kg(76.0 * kMilligram, law, 3.0);
    CHECK(relative_error(starting_kg(left_kg, law, 3.0), 76.0 * kMilligram) < 1.0e-12);
  }
}

TEST_CASE("boil-off: without boil-off, or without a wait, what landed is what is sealed") {
  CHECK(relative_error(remaining_kg(76.0 * kMilligram, {1.0e12, 1.0, 1.0}, 1.5),
                       76.0 * kMilligram) < 1.0e-10);
  CHECK(remaining_kg(76.0 * kMilligram, {8.0, 1.0, 1.0}, 0.0) == 76.0 * kMilligram);
}

TEST_CASE("boil-off: a wait cut into stretches of one law is the same wait") {
  for (const double exponent : {2.0 / 3.0, 1.0}) {
    const DecayLaw law{8.0, exponent, 76.0 * kMilligram};
    const std::array<Stretch, 3> parts{{{law, 0.7}, {law, 1.9}, {law, 0.4}}};
    CHECK(relative_error(remaining_kg(76.0 * kMilligram, parts),
                         remaining_kg(76.0 * kMilligram, law, 3.0)) < 1.0e-12);
  }
  const std::array<Stretch, 2> spun{{{{8.0, 1.0, 1.0}, 1.0}, {{2.0, 1.0, 1.0}, 1.0}}};
  CHECK(relative_error(remaining_kg(1.0, spun), std::exp(-0.125 - 0.5)) < 1.0e-12);
}

TEST_CASE("flight: millimetre drops lose 2.9 % in 26 ms, a 4 mm slug under 1 %") {
  CHECK(std::abs(flight_loss_share({1.0e-3, 2.2}, 293.15, 0.026) - 0.029) < 0.002);
  const double slug = flight_loss_share({4.0e-3, 2.2}, 293.15, 0.026);
  CHECK(slug > 0.003);
  CHECK(slug < 0.01);
  // In 0.1 s the drop slows down, and 9 % lies between still air and its first speed.
  CHECK(flight_loss_share({1.0e-3, 1.0}, 293.15, 0.1) < 0.09);
  CHECK(flight_loss_share({1.0e-3, 2.2}, 293.15, 0.1) > 0.09);
  CHECK(flight_loss_share({0.05e-3, 1.0}, 293.15, 5.0) == 1.0);
}

TEST_CASE("landing: losses multiply, each on what the one before it left") {
  CHECK(relative_error(landed_share({0.016, 0.02, 0.05, 0.1}), 0.984 * 0.98 * 0.95 * 0.9) <
        1.0e-15);
}

}  // namespace
}  // namespace rimebench::physics
