#include "plant_model/physics/package.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <optional>

#include "plant_model/physics/oxygen.hpp"
#include "tests/physics/relative_error.hpp"
#include "tests/physics/worked_can.hpp"

namespace rimebench::physics::worked {
namespace {

/// A bottle of gas alone that neither stretches nor dissolves anything.
AtTemperature rigid_and_dry(double temperature_K) {
  AtTemperature there = properties_at(kCan, temperature_K);
  there.container_m3 = 20.0 * kMillilitre;
  there.compliance_m3_per_Pa = 0.0;
  there.virial_m3_per_mol = 0.0;
  return there;
}

Sealed plain(double liquid_kg, double fill_ml) {
  return seal(at(4.0), kFeed, {fill_kg(fill_ml), {0.6, kGas_K, 0.0}, liquid_kg}).value();
}

TEST_CASE(
    "package: with nothing dissolving and rigid walls the dry pressure scales with temperature") {
  const Sealed gas{0.0, {0.7e-3, 0.0}, {0.2e-3, 0.0}, {0.0, 0.0}};
  const auto dry_Pa = [&](double temperature_K) {
    const AtTemperature there = rigid_and_dry(temperature_K);
    return kAtmospherePa + equilibrium_gauge_Pa(gas, there).value() - there.water_vapour_Pa;
  };
  CHECK(relative_error(dry_Pa(333.15) / dry_Pa(277.15), 333.15 / 277.15) < 1.0e-12);
}

TEST_CASE("package: with nothing dissolving and rigid walls a dose adds m R T / (M V)") {
  const AtTemperature there = rigid_and_dry(293.15);
  const double dose_kg = 63.0 * kMilligram;
  const Sealed before{0.0, {0.7e-3, 0.0}, {0.2e-3, 0.0}, {0.0, 0.0}};
  Sealed after = before;
  after.n2.gas += dose_kg / kNitrogenMolarKg;
  const double rise =
      prompt_gauge_Pa(after, there).value() - prompt_gauge_Pa(before, there).value();
  CHECK(relative_error(rise, dose_kg * kGasConstant * 293.15 / kNitrogenMolarKg / 20.0e-6) <
        1.0e-10);
}

TEST_CASE("package: the dose for a pressure gives that pressure back, prompt, settled or halfway") {
  for (const double uptake : {0.0, 0.3, 1.0}) {
    for (const double celsius : {4.0, 20.0, 38.0, 63.0}) {
      CAPTURE(uptake);
      CAPTURE(celsius);
      Sealed can = plain(0.0, 355.0);
      const double dose_kg = liquid_n2_kg_for(can, at(celsius), 150.0e3, uptake).value();
      can.n2.gas += dose_kg / kNitrogenMolarKg;
      CHECK(relative_error(gauge_after_uptake_Pa(can, at(celsius), uptake).value(), 150.0e3) <
            1.0e-9);
    }
  }
}

TEST_CASE("package: a package above its target without a dose asks for a negative one") {
  CHECK(liquid_n2_kg_for(plain(80.0 * kMilligram, 355.0), at(20.0), kTarget_Pa, 1.0).value() < 0.0);
}

TEST_CASE(
    "package: no gas is made or lost by dividing it, and the divided package presses the same") {
  const Sealed can = plain(63.0 * kMilligram, 355.0);
  for (const double uptake : {0.0, 0.5, 1.0}) {
    CAPTURE(uptake);
    const double gauge = gauge_after_uptake_Pa(can, at(20.0), uptake).value();
    const Sealed there = divided(can, at(20.0), gauge, uptake);
    CHECK(relative_error(there.n2.total(), can.n2.total()) < 1.0e-12);
    CHECK(relative_error(there.o2.total(), can.o2.total()) < 1.0e-12);
    CHECK(relative_error(prompt_gauge_Pa(there, at(20.0)).value(), gauge) < 1.0e-9);
  }
}

TEST_CASE("package: more dose, a fuller can and more heat each raise the pressure") {
  for (double celsius = 4.0; celsius <= 62.0; celsius += 1.0) {
    CAPTURE(celsius);
    const Sealed can = plain(63.0 * kMilligram, 355.0);
    const double here = equilibrium_gauge_Pa(can, at(celsius)).value();
    CHECK(equilibrium_gauge_Pa(can, at(celsius + 1.0)).value() > here);
    CHECK(prompt_gauge_Pa(can, at(celsius + 1.0)).value() >
          prompt_gauge_Pa(can, at(celsius)).value());
    CHECK(equilibrium_gauge_Pa(plain(64.0 * kMilligram, 355.0), at(celsius)).value() > here);
    CHECK(equilibrium_gauge_Pa(plain(63.0 * kMilligram, 356.0), at(celsius)).value() > here);
  }
}

TEST_CASE("package: a drink up to the brim cannot be sealed") {
  CHECK_FALSE(seal(at(4.0), kFeed, {fill_kg(373.6), {1.0, kGas_K, 0.0}, 0.0}).has_value());
  CHECK(seal(at(4.0), kFeed, {fill_kg(373.5), {1.0, kGas_K, 0.0}, 0.0}).has_value());
}

TEST_CASE("package: a glass bottle filled to 2 mL of headspace is liquid-full at 60 C") {
  Container glass = kCan;
  glass.compliance_m3_per_Pa = 0.0;
  glass.expansion_per_K = 2.7e-5;
  const AtTemperature fill = properties_at(glass, kFill_K);
  const AtTemperature hot = properties_at(glass, 333.15);
  const Sealed bottle = seal(fill, kFeed, {fill_kg(371.8), {1.0, kFill_K, 0.0}, 0.0}).value();
  CHECK_FALSE(prompt_gauge_Pa(bottle, hot).has_value());
  CHECK_FALSE(equilibrium_gauge_Pa(bottle, hot).has_value());
  CHECK_FALSE(liquid_n2_kg_for(bottle, hot, 200.0e3, 1.0).has_value());
}

TEST_CASE("package: any fill, dose and temperature gives a pressure that balances, or none") {
  int balanced = 0;
  int full = 0;
  for (double fill_ml = 10.0; fill_ml < 373.5; fill_ml += 7.9) {
    for (const double dose_mg : {0.0, 1.0, 60.0, 400.0, 5000.0}) {
      for (const double celsius : {4.0, 20.0, 63.0, 90.0}) {
        const Sealed can = plain(dose_mg * kMilligram, fill_ml);
        for (const double uptake : {0.0, 0.5, 1.0}) {
          const std::optional<double> gauge = gauge_after_uptake_Pa(can, at(celsius), uptake);
          if (!gauge) {
            ++full;
            continue;
          }
          ++balanced;
          CAPTURE(fill_ml);
          CAPTURE(dose_mg);
          CAPTURE(celsius);
          REQUIRE(std::isfinite(*gauge));
          const double missing_kg = liquid_n2_kg_for(can, at(celsius), *gauge, uptake).value();
          CHECK(std::abs(missing_kg) < 1.0e-9 * kMilligram + 1.0e-9 * dose_mg * kMilligram);
        }
      }
    }
  }
  CHECK(balanced > 2000);
  CHECK(full > 20);
}

TEST_CASE(
    "package: an evacuated package with no gas at all stands at the vapour pressure of water") {
  const Sealed empty{0.2, {0.0, 0.0}, {0.0, 0.0}, {0.0, 0.0}};
  const AtTemperature there = at(20.0);
  const double absolute = kAtmospherePa + equilibrium_gauge_Pa(empty, there).value();
  CHECK(relative_error(absolute, there.water_vapour_Pa) < 1.0e-6);
}

TEST_CASE("package: four volumes of carbon dioxide press 4.15 bar at 20 C once shared out") {
  // By hand: 4 x 1.977 g/L is a mole fraction of 3.24e-3, times Henry's 144.9 MPa is 4.70 bar. The
  // headspace of 20.3 mL keeps 6 % of it. The air, a quarter of it dissolved, adds 0.7 bar.
  const Feed cola{0.0, 0.0, 4.0};
  const Sealed can = seal(at(4.0), cola, {fill_kg(355.0), {1.0, kFill_K, 0.0}, 0.0}).value();
  const double gauge = equilibrium_gauge_Pa(can, at(20.0)).value();
  CHECK(std::abs(gauge - 4.15e5) < 0.05e5);
  CHECK(std::abs(prompt_gauge_Pa(can, at(4.0)).value()) < 1.0e3);
}

TEST_CASE("package: carbon dioxide flushed under the lid replaces nitrogen mole for mole") {
  const Seam with{fill_kg(355.0), {0.3, kGas_K, 0.6}, 0.0};
  const Seam without{fill_kg(355.0), {0.3, kGas_K, 0.0}, 0.0};
  const Sealed flushed_can = seal(at(4.0), kFeed, with).value();
  const Sealed plain_can = seal(at(4.0), kFeed, without).value();
  const double dry = plain_can.n2.gas + plain_can.o2.gas;
  CHECK(relative_error(flushed_can.co2.gas, 0.6 * dry) < 1.0e-12);
  CHECK(relative_error(flushed_can.n2.gas, plain_can.n2.gas - 0.6 * dry) < 1.0e-12);
  CHECK(flushed_can.o2.gas == plain_can.o2.gas);
  CHECK(relative_error(headspace_oxygen_share(flushed_can), 0.3 * kOxygenInDryAir) < 1.0e-12);
  // The drink takes up carbon dioxide far more readily, so the flushed can ends lower.
  CHECK(equilibrium_gauge_Pa(flushed_can, at(4.0)).value() <
        equilibrium_gauge_Pa(plain_can, at(4.0)).value());
}

TEST_CASE("package: at 1500 m an undosed can reads zero gauge where it was sealed") {
  constexpr double kAmbient_Pa = 84.5e3;
  const AtTemperature there = properties_at(kCan, kFill_K, kAmbient_Pa);
  const Sealed can = seal(there, kFeed, {fill_kg(355.0), {1.0, kFill_K, 0.0}, 0.0}).value();
  CHECK(std::abs(prompt_gauge_Pa(can, there).value()) < 100.0);
  const Sealed low = seal(at(4.0), kFeed, {fill_kg(355.0), {1.0, kFill_K, 0.0}, 0.0}).value();
  CHECK(relative_error(can.o2.gas / low.o2.gas, kAmbient_Pa / kAtmospherePa) < 3.0e-3);
}

TEST_CASE("package: first-order uptake agrees with stepping through its differential equation") {
  const double gas_capacity = 7.896317e-9;
  const double liquid_capacity = 2.473797e-9;
  const double total_mol = 3.0e-3;
  const double rate = 1.0 / 600.0;
  double dissolved = 0.04e-3;
  const double start_Pa = (total_mol - dissolved) / gas_capacity;
  const double end_Pa = total_mol / (gas_capacity + liquid_capacity);
  constexpr int kSteps = 30000;
  constexpr double kStep_s = 0.01;
  for (int i = 0; i < kSteps; ++i) {
    const auto slope = [&](double liquid) {
      return rate * (liquid_capacity * (total_mol - liquid) / gas_capacity - liquid);
    };
    dissolved += kStep_s * slope(dissolved + 0.5 * kStep_s * slope(dissolved));
  }
  const double share = uptake_share(rate, liquid_capacity / gas_capacity, kSteps * kStep_s);
  CHECK(relative_error((total_mol - dissolved) / gas_capacity,
                       start_Pa + (end_Pa - start_Pa) * share) < 1.0e-9);
}

TEST_CASE("package: in a quiet can diffusion takes 29 days, 2.7 % in an hour, 13 % in a day") {
  const double depth = 0.104;
  const double diffusivity = 1.75e-9;
  CHECK(std::abs(1.0 / diffusion_rate_per_s(diffusivity, depth) / 86400.0 - 29.0) < 0.1);
  CHECK(std::abs(diffusion_uptake_share(diffusivity, depth, 60.0) - 0.0035) < 0.0001);
  CHECK(std::abs(diffusion_uptake_share(diffusivity, depth, 3600.0) - 0.027) < 0.0005);
  CHECK(std::abs(diffusion_uptake_share(diffusivity, depth, 86400.0) - 0.133) < 0.0005);
}

}  // namespace
}  // namespace rimebench::physics::worked
