#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/solubility.hpp"
#include "plant_model/physics/water.hpp"
#include "tests/physics/relative_error.hpp"

namespace rimebench::physics {
namespace {

constexpr double kelvin(double celsius) { return celsius + 273.15; }

TEST_CASE("solubility: IAPWS G7-04 prints these logarithms of Henry's constant in its Table 6") {
  struct Row {
    Gas gas;
    double kelvin, log_GPa;
  };
  constexpr std::array<Row, 16> kRows{{
      {Gas::kNitrogen, 300, 2.1716},        // [g7_lnkH_N2_300]
      {Gas::kNitrogen, 400, 2.3509},        // [g7_lnkH_N2_400]
      {Gas::kNitrogen, 500, 1.4842},        // [g7_lnkH_N2_500]
      {Gas::kNitrogen, 600, 0.1647},        // [g7_lnkH_N2_600]
      {Gas::kOxygen, 300, 1.5024},          // [g7_lnkH_O2_300]
      {Gas::kOxygen, 400, 1.8832},          // [g7_lnkH_O2_400]
      {Gas::kOxygen, 500, 1.163},           // [g7_lnkH_O2_500]
      {Gas::kOxygen, 600, -0.0276},         // [g7_lnkH_O2_600]
      {Gas::kCarbonDioxide, 300, -1.7508},  // [g7_lnkH_CO2_300]
      {Gas::kCarbonDioxide, 400, -0.545},   // [g7_lnkH_CO2_400]
      {Gas::kCarbonDioxide, 500, -0.6524},  // [g7_lnkH_CO2_500]
      {Gas::kCarbonDioxide, 600, -1.3489},  // [g7_lnkH_CO2_600]
      {Gas::kArgon, 300, 1.4061},           // [g7_lnkH_Ar_300]
      {Gas::kArgon, 400, 1.8079},           // [g7_lnkH_Ar_400]
      {Gas::kArgon, 500, 1.1536},           // [g7_lnkH_Ar_500]
      {Gas::kArgon, 600, 0.0423},           // [g7_lnkH_Ar_600]
  }};
  for (const Row& row : kRows) {
    CAPTURE(row.kelvin);
    const double computed = std::log(henry_constant_Pa(row.gas, row.kelvin) * 1.0e-9);
    CHECK(std::abs(computed - row.log_GPa) < 5.0e-5);
  }
}

TEST_CASE("solubility: Henry's constants of a drink agree with an independent library") {
  // Computed there from IAPWS G7-04 equation 3. [g7_equation] [g7_kH_N2_table] [g7_kH_O2_table]
  // [g7_kH_CO2_table]
  struct Row {
    double celsius, nitrogen_Pa, oxygen_Pa, carbon_dioxide_Pa;
  };
  constexpr std::array<Row, 12> kRows{{{0, 5419694000.0, 2587807000.0, 76007020.0},
                                       {4, 5934199000.0, 2864898000.0, 87812420.0},
                                       {5, 6063347000.0, 2935230000.0, 90923530.0},
                                       {10, 6708407000.0, 3291366000.0, 107421200.0},
                                       {15, 7345462000.0, 3651434000.0, 125440200.0},
                                       {20, 7965465000.0, 4010602000.0, 144888600.0},
                                       {25, 8559982000.0, 4364128000.0, 165644600.0},
                                       {30, 9121405000.0, 4707495000.0, 187559800.0},
                                       {38, 9934701000.0, 5225472000.0, 224601900.0},
                                       {40, 10119530000.0, 5347452000.0, 234166300.0},
                                       {50, 10920050000.0, 5902486000.0, 283155100.0},
                                       {60, 11501200000.0, 6352949000.0, 332840800.0}}};
  for (const Row& row : kRows) {
    CAPTURE(row.celsius);
    const double at_K = kelvin(row.celsius);
    CHECK(relative_error(henry_constant_Pa(Gas::kNitrogen, at_K), row.nitrogen_Pa) < 1.0e-6);
    CHECK(relative_error(henry_constant_Pa(Gas::kOxygen, at_K), row.oxygen_Pa) < 1.0e-6);
    CHECK(relative_error(henry_constant_Pa(Gas::kCarbonDioxide, at_K), row.carbon_dioxide_Pa) <
          1.0e-6);
  }
}

TEST_CASE("solubility: a drink at 4 C lies outside the fitted range for nitrogen, at 10 C inside") {
  // IAPWS G7-04, Table 2. [g7_range]
  CHECK(henry_fitted_range(Gas::kNitrogen).from_K == 278.12);
  CHECK(henry_fitted_range(Gas::kNitrogen).to_K == 636.46);
  CHECK(henry_fitted_range(Gas::kOxygen).from_K == 274.15);
  CHECK(henry_fitted_range(Gas::kCarbonDioxide).to_K == 642.66);
  CHECK(henry_fitted_range(Gas::kArgon).from_K == 273.19);
  CHECK(kelvin(4.0) < henry_fitted_range(Gas::kNitrogen).from_K);
  CHECK(kelvin(10.0) > henry_fitted_range(Gas::kNitrogen).from_K);
}

TEST_CASE(
    "solubility: nitrogen against IUPAC's own table, 2 % apart when cold, 0.3 % at 20 to 40 C") {
  // Battino, IUPAC Solubility Data Series 10 (1982); last column: G7 over Battino, computed apart.
  // [n2_solubility_battino_table] [n2_solubility_battino_298]
  struct Row {
    double kelvin, mole_fraction, ratio;
  };
  constexpr std::array<Row, 11> kRows{{{273.15, 1.90752e-05, 0.9801},
                                       {277.15, 1.73362e-05, 0.9849},
                                       {278.15, 1.69478e-05, 0.986},
                                       {283.15, 1.52401e-05, 0.9911},
                                       {288.15, 1.386e-05, 0.9953},
                                       {293.15, 1.2739e-05, 0.9986},
                                       {298.15, 1.18253e-05, 1.001},
                                       {303.15, 1.10799e-05, 1.0026},
                                       {313.15, 9.98063e-06, 1.0032},
                                       {323.15, 9.27323e-06, 1.0006},
                                       {333.15, 8.85577e-06, 0.9948}}};
  for (const Row& row : kRows) {
    CAPTURE(row.kelvin);
    const double ours = kAtmospherePa / henry_constant_Pa(Gas::kNitrogen, row.kelvin);
    CHECK(relative_error(ours, row.mole_fraction) < 0.0201);
    CHECK(std::abs(ours / row.mole_fraction - row.ratio) < 1.5e-4);
  }
}

TEST_CASE("solubility: air-saturated water holds this much nitrogen") {
  // Computed apart from IAPWS G7-04. [n2_air_saturated]
  constexpr std::array<std::array<double, 2>, 4> kRows{
      {{4, 20.566}, {10, 18.117}, {20, 15.089}, {25, 13.923}}};
  for (const auto& row : kRows) {
    CAPTURE(row[0]);
    const auto& [celsius, mg_per_kg] = row;
    const double ours = air_saturated_kg_per_kg(Gas::kNitrogen, kelvin(celsius), kAtmospherePa);
    CHECK(relative_error(ours * 1.0e6, mg_per_kg) < 1.0e-3);
  }
}

TEST_CASE(
    "solubility: air-saturated water holds this much oxygen, within 1.5 % of the field tables") {
  // Benson and Krause, Limnol. Oceanogr. 29 (1984) 620, mg/L; G7 lies up to 1 % above.
  // [do_saturation_table]
  constexpr std::array<std::array<double, 2>, 8> kRows{{{0, 14.6208},
                                                        {4, 13.1084},
                                                        {5, 12.771},
                                                        {10, 11.2879},
                                                        {15, 10.0839},
                                                        {20, 9.0924},
                                                        {25, 8.2635},
                                                        {30, 7.5588}}};
  const auto mg_per_L = [](double celsius) {
    return air_saturated_kg_per_kg(Gas::kOxygen, kelvin(celsius), kAtmospherePa) *
           water_density_kg_per_m3(kelvin(celsius)) * 1.0e3;
  };
  for (const auto& row : kRows) {
    CAPTURE(row[0]);
    const auto& [celsius, published] = row;
    CHECK(relative_error(mg_per_L(celsius), published) < 0.015);
  }
  CHECK(relative_error(mg_per_L(20.0), 9.1659) < 1.0e-3);  // [do_from_g7_20C]
  CHECK(relative_error(mg_per_L(20.0), 9.092) < 0.015);    // [do_saturation_20C]
}

TEST_CASE("solubility: 40 psig of nitrogen over 4 C water dissolves 98.6 mg/kg") {
  // Computed apart from IAPWS G7-04. [n2_eq_40psig_4C]
  const double nitrogen_Pa = kAtmospherePa + 275790.3 - water_saturation_Pa(kelvin(4.0));
  const double ours = dissolved_kg_per_kg(Gas::kNitrogen, nitrogen_Pa, kelvin(4.0));
  CHECK(relative_error(ours * 1.0e6, 98.605) < 1.0e-3);
}

TEST_CASE("solubility: carbon dioxide's Bunsen coefficient at 20 C is 0.878 within 2.5 %") {
  // Handbook value, recalled from memory. [co2_bunsen_20C] One volume is 1.9771 g/L. [co2_volume]
  const double kg_per_m3 = dissolved_kg_per_kg(Gas::kCarbonDioxide, kAtmospherePa, kelvin(20.0)) *
                           water_density_kg_per_m3(kelvin(20.0));
  CHECK(relative_error(kg_per_m3 / kCarbonDioxideVolumeKgPerM3, 0.878) < 0.025);
  CHECK(relative_error(kCarbonDioxideVolumeKgPerM3, 1.9771) < 5.0e-4);
}

TEST_CASE(
    "constants: the values recalled for the room agree with those recalled for its check list") {
  // All from memory: CODATA 2018, IUPAC, the definition of the psi, US Standard Atmosphere 1976.
  CHECK(std::abs(kGasConstant - 8.314462618) < 1.0e-9);            // [gas_constant]
  CHECK(std::abs(kNitrogenMolarKg - 0.0280134) < 1.0e-7);          // [n2_molar_mass]
  CHECK(relative_error(kPascalPerPsi, 6894.757293168) < 1.0e-12);  // [unit_psi]
  CHECK(std::abs(kNitrogenInDryAir - 0.78084) < 2.0e-5);           // [air_composition]
  CHECK(std::abs(kOxygenInDryAir - 0.20946) < 2.0e-5);
  CHECK(std::abs(kArgonInDryAir - 0.00934) < 2.0e-5);
}

}  // namespace
}  // namespace rimebench::physics
