#include "plant_model/physics/headspace.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "plant_model/physics/constants.hpp"
#include "tests/physics/relative_error.hpp"

namespace rimebench::physics {
namespace {

constexpr double kMilligram = 1.0e-6;
constexpr OpenHeadspace kTight{18.6e-6, 200.0, 1.0, 0.0, kAtmospherePa};
constexpr HeadspaceGas kFresh{1.0, 277.15, 0.0};

TEST_CASE("headspace: air falls as exp(-N), and the gas cools towards the cold vapour with it") {
  const double volumes = sweep_volumes(kFresh, kTight, 13.0 * kMilligram);
  const HeadspaceGas after = swept(kFresh, kTight, 13.0 * kMilligram, 1.5);
  CHECK(volumes > 0.4);
  CHECK(volumes < 0.6);
  CHECK(relative_error(after.air_fraction, std::exp(-volumes)) < 1.0e-12);
  CHECK(relative_error(after.gas_K, 277.15 - (277.15 - 200.0) * (1.0 - std::exp(-volumes))) <
        1e-12);
}

TEST_CASE("headspace: the closed form agrees with sweeping it milligram by milligram") {
  double gas_K = kFresh.gas_K;
  double air = 1.0;
  constexpr int kSteps = 200000;
  const double step_kg = 30.0 * kMilligram / kSteps;
  for (int i = 0; i < kSteps; ++i) {
    const double volumes =
        step_kg * kGasConstant * gas_K / (kNitrogenMolarKg * kAtmospherePa * kTight.volume_m3);
    air -= air * volumes;
    gas_K -= (gas_K - kTight.cold_gas_K) * volumes;
  }
  const HeadspaceGas after = swept(kFresh, kTight, 30.0 * kMilligram, 3.0);
  CHECK(relative_error(after.air_fraction, air) < 1.0e-5);
  CHECK(relative_error(after.gas_K, gas_K) < 1.0e-5);
}

TEST_CASE("headspace: a wait cut in two leaves the same gas") {
  const HeadspaceGas whole = swept(kFresh, kTight, 20.0 * kMilligram, 2.0);
  const HeadspaceGas half = swept(kFresh, kTight, 12.0 * kMilligram, 1.2);
  const HeadspaceGas parts = swept(half, kTight, 8.0 * kMilligram, 0.8);
  CHECK(relative_error(parts.air_fraction, whole.air_fraction) < 1.0e-12);
  CHECK(relative_error(parts.gas_K, whole.gas_K) < 1.0e-12);
}

TEST_CASE("headspace: a short circuit of half the vapour needs twice as much to sweep as well") {
  OpenHeadspace half = kTight;
  half.cold_gas_K = kFresh.gas_K;
  OpenHeadspace mixed = half;
  half.sweep_efficiency = 0.5;
  CHECK(relative_error(swept(kFresh, half, 20.0 * kMilligram, 2.0).air_fraction,
                       swept(kFresh, mixed, 10.0 * kMilligram, 2.0).air_fraction) < 1.0e-12);
}

TEST_CASE("headspace: carbon dioxide is swept out as the air is") {
  const HeadspaceGas after = swept({0.5, 277.15, 0.4}, kTight, 13.0 * kMilligram, 1.0);
  CHECK(relative_error(after.co2_fraction / after.air_fraction, 0.4 / 0.5) < 1.0e-12);
}

TEST_CASE("headspace: nothing boiled, nothing drawn in: nothing changed") {
  const HeadspaceGas after = swept(kFresh, kTight, 0.0, 60.0);
  CHECK(after.air_fraction == 1.0);
  CHECK(relative_error(after.gas_K, 277.15) < 1.0e-15);
}

TEST_CASE("headspace: below a thousand ppb of oxygen takes about three volumes, 76 mg at 250 K") {
  const OpenHeadspace open{18.58531e-6, 250.0, 1.0, 0.0, kAtmospherePa};
  CHECK(std::abs(sweep_volumes({1.0, 250.0, 0.0}, open, 76.0 * kMilligram) - 3.0) < 0.01);
}

TEST_CASE("headspace: with room air drawn in, the gas settles where both flows balance") {
  OpenHeadspace leaky = kTight;
  leaky.cold_gas_K = kFresh.gas_K;
  leaky.air_ingress_m3_per_s = 5.0e-6;
  double air = 1.0;
  constexpr int kSteps = 200000;
  constexpr double kSeconds = 4.0;
  const double flow = 40.0 * kMilligram / kSeconds * kGasConstant * kFresh.gas_K /
                      (kNitrogenMolarKg * kAtmospherePa);
  for (int i = 0; i < kSteps; ++i) {
    const double in = leaky.air_ingress_m3_per_s * (1.0 - air);
    air += (in - flow * air) / leaky.volume_m3 * kSeconds / kSteps;
  }
  const HeadspaceGas after = swept(kFresh, leaky, 40.0 * kMilligram, kSeconds);
  CHECK(relative_error(after.air_fraction, air) < 1.0e-4);
  CHECK(after.air_fraction > swept(kFresh, kTight, 40.0 * kMilligram, kSeconds).air_fraction);
}

TEST_CASE("lid flush: a full flush leaves its own gas, none leaves all as it was") {
  const HeadspaceGas before{0.6, 250.0, 0.0};
  const HeadspaceGas none = flushed(before, {0.0, 277.15, true});
  CHECK(none.air_fraction == 0.6);
  CHECK(relative_error(none.gas_K, 250.0) < 1.0e-15);
  CHECK(none.co2_fraction == 0.0);
  const HeadspaceGas full = flushed(before, {1.0, 277.15, true});
  CHECK(full.air_fraction == 0.0);
  CHECK(relative_error(full.gas_K, 277.15) < 1.0e-15);
  CHECK(full.co2_fraction == 1.0);
}

TEST_CASE("lid flush: nitrogen over half the headspace halves the air and warms what is left") {
  const HeadspaceGas after = flushed({0.6, 250.0, 0.1}, {0.5, 277.15, false});
  // Half the volume of the colder gas is more than half the moles.
  CHECK(after.air_fraction > 0.3);
  CHECK(after.air_fraction < 0.33);
  CHECK(relative_error(1.0 / after.gas_K, 0.5 / 250.0 + 0.5 / 277.15) < 1.0e-12);
  CHECK(relative_error(after.co2_fraction / after.air_fraction, 0.1 / 0.6) < 1.0e-12);
}

}  // namespace
}  // namespace rimebench::physics
