#include "plant_model/line/packaging.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "plant_model/physics/oxygen.hpp"
#include "plant_model/physics/water.hpp"
#include "tests/line/metre_line.hpp"

using namespace rimebench;
using test::metre_line;
using test::passes;
using test::play;

namespace {

/// A shot of 63 mg whose middle lands as the centre of container `number` is under the nozzle.
std::vector<SignalChange> shot_for(std::int64_t number) {
  const std::int64_t at = passes(number, 500'000).us - 32'317;
  return {test::valve(at, true), test::valve(at + 20'000, false)};
}

LedgerRow dosed(const PlantSpec& spec) { return play(spec, shot_for(8)).rows[7]; }

Cause cause(const LedgerRow& row) { return static_cast<Cause>(row.cause); }

}  // namespace

TEST_CASE("packaging: what is sealed is what landed times exp(-t/tau), belt and lid apart") {
  // 400 mm from nozzle to lid at tau 8 s, 100 mm from lid to seam at tau 4 s: exp(-0.05 - 0.025).
  const LedgerRow row = dosed(metre_line());
  CHECK(row.wait_us == 500'000);
  CHECK(row.lid_us - row.landing_us == 400'000);
  const double sealed = 63'000.0 * 0.941094 * std::exp(-0.075);
  CHECK(static_cast<double>(row.sealed_ug) == doctest::Approx(sealed).epsilon(1e-5));
}

TEST_CASE("packaging: the row agrees with the package worked out from the same physics") {
  const LedgerRow row = dosed(metre_line());
  constexpr double kFillK = 277.15;
  const physics::Container can{374e-6, 293.15, 4e-12, 69.3e-6};
  const auto at_fill = physics::properties_at(can, kFillK);
  const double drink_kg = 355e-6 * physics::water_density_kg_per_m3(kFillK);
  const double landed_kg = 63e-6 * 0.941094;
  const double sealed_kg = landed_kg * std::exp(-0.075);
  const physics::OpenHeadspace open{physics::headspace_m3(drink_kg, at_fill), 210.0, 1.0, 0.5e-6,
                                    physics::kAtmospherePa};
  const auto gas = physics::swept({1.0, kFillK, 0.0}, open, landed_kg - sealed_kg, 0.4);
  const auto sealed = physics::seal(at_fill, {3e-6, 0.5e-6, 0.0}, {drink_kg, gas, sealed_kg});
  REQUIRE(sealed);
  const auto at_20 = physics::properties_at(can, 293.15);
  const auto at_60 = physics::properties_at(can, 333.15);
  const auto close_to = [](std::int64_t pascal, std::optional<double> expected) {
    return expected && std::abs(static_cast<double>(pascal) - *expected) < 1.0;
  };
  CHECK(close_to(row.equilibrium_pa, physics::equilibrium_gauge_Pa(*sealed, at_20)));
  CHECK(close_to(row.prompt_pa, physics::prompt_gauge_Pa(*sealed, at_20)));
  CHECK(close_to(row.hot_equilibrium_pa, physics::equilibrium_gauge_Pa(*sealed, at_60)));
  CHECK(close_to(row.hot_prompt_pa, physics::prompt_gauge_Pa(*sealed, at_60)));
  CHECK(close_to(row.tpo_ppb, physics::total_package_oxygen_ppb(*sealed)));
  CHECK(close_to(row.oxygen_ppm, gas.air_fraction * physics::kOxygenInDryAir * 1e6));
  CHECK(row.fill_ul == 355'000);
  CHECK(row.prompt_pa > row.equilibrium_pa);
}

TEST_CASE("packaging: without a shot a warmed can shows the gas of its drink and little more") {
  const LedgerRow row = play(metre_line(), {}).rows[7];
  CHECK(row.shots == 0);
  CHECK(row.sealed_ug == 0);
  CHECK(row.wait_us == 0);
  CHECK(row.oxygen_ppm > 200'000);
  CHECK(row.equilibrium_pa < 20'000);
}

TEST_CASE("packaging: a container without a shot that misses its pressure lacks a dose") {
  PlantSpec spec = metre_line();
  spec.limits.equilibrium_pa_min = 100'000;
  const auto rows = play(spec, shot_for(8)).rows;
  CHECK(rows[7].bad == 0);
  CHECK(rows[6].bad == 1);
  CHECK(cause(rows[6]) == Cause::kNoDose);
}

TEST_CASE("packaging: too far off the centre is bad by landing, whatever the pressure") {
  PlantSpec spec = metre_line();
  spec.limits.landing_offset_um_max = 2'000;
  auto outputs = shot_for(8);
  CHECK(play(spec, outputs).rows[7].bad == 0);
  for (SignalChange& output : outputs) output.at = output.at - 2'001_us;
  const LedgerRow row = play(spec, outputs).rows[7];
  CHECK(row.bad == 1);
  CHECK(cause(row) == Cause::kLanding);
}

TEST_CASE("packaging: too much in an ordinary container is bad by dose") {
  PlantSpec spec = metre_line();
  spec.limits.equilibrium_pa_max = dosed(spec).equilibrium_pa;
  CHECK(dosed(spec).bad == 0);
  spec.limits.equilibrium_pa_max -= 1;
  CHECK(cause(dosed(spec)) == Cause::kDose);
}

TEST_CASE("packaging: a long stop between nozzle and seam is bad by wait") {
  PlantSpec spec = metre_line();
  spec.limits.equilibrium_pa_min = dosed(spec).equilibrium_pa - 5'000;
  CHECK(dosed(spec).bad == 0);
  spec.happens.stops = {{passes(8, 600'000), 3_s, 100_ms, 1_s}};
  const LedgerRow row = dosed(spec);
  CHECK(row.wait_us > 3'000'000);
  CHECK(row.bad == 1);
  CHECK(cause(row) == Cause::kWait);
}

TEST_CASE("packaging: the right dose in a wrong fill is bad by fill") {
  PlantSpec spec = metre_line();
  const std::int64_t nominal = dosed(spec).equilibrium_pa;
  spec.product.fill_sd_ml = 4.0;
  spec.limits.equilibrium_pa_min = nominal - 10'000;
  spec.limits.equilibrium_pa_max = nominal + 10'000;
  std::vector<SignalChange> outputs;
  for (std::int64_t n = 8; n < 40; ++n) {
    for (const SignalChange& output : shot_for(n)) outputs.push_back(output);
  }
  const auto rows = play(spec, outputs).rows;
  int bad = 0;
  for (std::size_t i = 7; i < 39; ++i) {
    bad += static_cast<int>(rows[i].bad);
    if (rows[i].bad != 0) CHECK(cause(rows[i]) == Cause::kFill);
    const bool overfilled = rows[i].fill_ul > 355'000;
    CHECK((rows[i].equilibrium_pa > nominal) == overfilled);
  }
  CHECK(bad > 10);
}

TEST_CASE("packaging: a good pressure over too much oxygen is bad by oxygen") {
  PlantSpec spec = metre_line();
  spec.limits.oxygen_ppm_max = 1'000;
  CHECK(cause(dosed(spec)) == Cause::kOxygen);
}
