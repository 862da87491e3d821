#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "plant_model/physics/nitrogen.hpp"
#include "plant_model/physics/nitrogenation.hpp"
#include "plant_model/physics/room.hpp"
#include "plant_model/physics/solubility.hpp"
#include "plant_model/physics/vessel.hpp"
#include "plant_model/physics/water.hpp"
#include "plant_model/planner/surroundings.hpp"
#include "tests/physics/relative_error.hpp"

namespace rimebench::physics {
namespace {

constexpr double kDay_s = 86'400.0;

TEST_CASE("room: below 19.5 % of oxygen it is deficient, and people leave at about 18 %") {
  // 29 CFR 1910.134(b) and 1910.146(b). [osha_o2_low]
  CHECK(kOxygenAlarmPercent == 19.5);
  // A national laboratory's manual: 135 mmHg of oxygen, at 740 mmHg. [anl_o2_partial_pressure]
  CHECK(std::abs(kOxygenLeavePercent - 100.0 * 135.0 / 740.0) < 0.3);
}

TEST_CASE("room: ten litres spilt in 36 m3 leave 16.92 % of oxygen") {
  // The form of gas associations, 10 L at 692. [room_release_instant]
  CHECK(relative_error(100.0 * oxygen_after_release(36.0, 6.92), 16.9229) < 1.0e-5);
}

TEST_CASE(
    "room: the boil-off of five small dewars, and of one, as two safety policies work it out") {
  // A university's safety policy, with its factor 2 for old insulation. [room_boiloff_oxford]
  const double five = 2.0 * 700.0 * 5.0 * 0.15 / (24.0 * 1000.0);
  const Ventilation small{36.0, 0.4 * 36.0, five};
  CHECK(std::abs(100.0 * (0.21 - steady_oxygen_extract(small, 0.21)) - 0.0638) < 1.0e-4);
  // A guideline after it. [room_boiloff_s403_example]
  const double one = 2.0 * 682.0 * 0.93 / (24.0 * 1000.0);
  const Ventilation large{108.0, 108.0 * 6.0, one};
  const double depletion = 100.0 * (0.21 - steady_oxygen_extract(large, 0.21));
  CHECK(relative_error(depletion, 0.001713) < 0.01);
}

TEST_CASE("room: 42.9 m3/h of nitrogen take a room with two air changes to 19.5 %") {
  // Steady mass balance of a public derivation. [room_steady_release]
  CHECK(relative_error(extract_for(42.8571, 0.195, 0.21), 600.0) < 1.0e-6);
}

TEST_CASE("room: after half an hour exhaust and supply ventilation differ in the fourth digit") {
  // Oxygen deficiency equations of a national laboratory, from memory. [room_transient]
  const Ventilation room{300.0, 600.0, 5.0};
  CHECK(relative_error(100.0 * oxygen_after_extract(room, 0.5, 0.21), 20.88938) < 1.0e-6);
  CHECK(relative_error(100.0 * oxygen_after_supply(room, 0.5, 0.21), 20.88976) < 1.0e-6);
}

TEST_CASE("room: with a mixing factor of 0.2 it takes 13.3 air changes from 20 to 1.4") {
  // A design guide for ventilation, p. 106. [purge_room_example]
  CHECK(relative_error(air_changes(20.0, 1.4, 0.2), 13.296) < 1.0e-3);
}

TEST_CASE("vessel: a 196 L gross vessel with 1.5 % a day loses 2.9 litres a day by itself") {
  // A published data sheet of the 180 L class. [dewar_180]
  CHECK(relative_error(own_boil_off_m3_per_s({0.196, 0.015}) * kDay_s, 2.94e-3) < 1.0e-9);
}

TEST_CASE("nitrogenation: about 60 ppm after about five days at about 40 psi below 40 F") {
  // Common practice, no source: consistent with 5.3 days from gas-free water and 7.1 days from
  // water saturated with air. [n2_rule_of_thumb] The equilibrium is 98.6 mg/kg. [n2_eq_40psig_4C]
  const double partial = kAtmospherePa + 275790.3 - water_saturation_Pa(277.15);
  const double settled = dissolved_kg_per_kg(Gas::kNitrogen, partial, 277.15);
  CHECK(relative_error(settled, 98.605e-6) < 1.0e-3);
  CHECK(std::abs(*time_constant_s(0.0, settled, 60.0e-6, 5.0 * kDay_s) / kDay_s - 5.3) < 0.05);
  CHECK(std::abs(*time_constant_s(20.566e-6, settled, 60.0e-6, 5.0 * kDay_s) / kDay_s - 7.1) <
        0.05);
}

TEST_CASE("nitrogenation: diffusion alone does about 5 % in five days in half a metre of water") {
  CHECK(std::abs(diffusion_share(1.0e-9, 0.5, 5.0 * kDay_s) - 0.05) < 0.01);
}

TEST_CASE("nitrogenation: nitrogen diffuses in water at 2.0e-9 m2/s at 25 C") {
  // CRC Handbook; other handbooks 1.88e-9. [diffusivity_water_25C]
  CHECK(relative_error(nitrogen_in_water_m2_per_s(298.15), 2.0e-9) < 1.0e-9);
  CHECK(relative_error(nitrogen_in_water_m2_per_s(298.15), 1.88e-9) < 0.15);
}

TEST_CASE("nitrogenation: the viscosity of water that scales it, from 4 to 60 C") {
  // IAPWS R12-08, computed by a library. [water_viscosity]
  struct Row {
    double celsius, pascal_s;
  };
  constexpr std::array<Row, 5> kRows{
      {{4, 0.0015673}, {20, 0.0010016}, {25, 0.00089002}, {38, 0.00067804}, {60, 0.00046604}}};
  for (const Row& row : kRows) {
    CAPTURE(row.celsius);
    CHECK(relative_error(water_viscosity_Pa_s(273.15 + row.celsius), row.pascal_s) < 4.0e-3);
  }
}

}  // namespace
}  // namespace rimebench::physics
