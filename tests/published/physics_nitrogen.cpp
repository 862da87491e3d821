#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/nitrogen.hpp"
#include "tests/physics/relative_error.hpp"

// Unless a test says otherwise the values were computed apart from the reference equation of state:
// Span, Lemmon, Jacobsen, Wagner, Yokozeki, J. Phys. Chem. Ref. Data 29 (2000) 1361.
namespace rimebench::physics {
namespace {

TEST_CASE("nitrogen: boils at 77.355 K under one atmosphere") {
  // [n2_nbp_T]
  CHECK(std::abs(nitrogen_saturation_K(101325.0) - 77.35499) < 1.0e-4);
  CHECK(kNitrogenBoilingK == 77.35499);
}

TEST_CASE("nitrogen: at its boiling point, which is no point of the table") {
  const Saturation boiling = nitrogen_saturation(77.35499);
  CHECK(relative_error(boiling.pressure_Pa, 101325.0) < 1.0e-6);
  CHECK(relative_error(boiling.liquid_kg_per_m3, 806.0845) < 1.0e-6);  // [n2_nbp_rhoL]
  CHECK(relative_error(boiling.vapour_kg_per_m3, 4.612137) < 1.0e-6);  // [n2_nbp_rhoV]
  CHECK(relative_error(boiling.latent_J_per_kg, 199176.1) < 1.0e-6);   // [n2_nbp_hfg]
  CHECK(relative_error(boiling.latent_J_per_kg * kNitrogenMolarKg, 5579.614) <
        1e-5);  // [n2_nbp_hfg_molar]
  CHECK(kLiquidNitrogenKgPerM3 == 806.0845);
  CHECK(kNitrogenLatentJPerKg == 199176.1);
}

TEST_CASE("nitrogen: saturation line from 65 to 100 K") {
  // [n2_saturation_table]
  constexpr std::array<std::array<double, 5>, 13> kRows{
      {{65, 17404.4, 859.5971, 0.9130812, 213565.4},
       {70, 38544.77, 838.5147, 1.895995, 208068.7},
       {75, 76042.66, 816.672, 3.540447, 202147.4},
       {77, 97152.27, 807.6938, 4.436693, 199632.3},
       {78, 109255.2, 803.1482, 4.944244, 198339.1},
       {80, 136871.8, 793.9371, 6.089394, 195675.6},
       {82, 169467.7, 784.556, 7.4237, 192901.4},
       {84, 207574.2, 774.9909, 8.967232, 190006.7},
       {86, 251735.9, 765.2261, 10.74161, 186980.6},
       {88, 302508.6, 755.2438, 12.77031, 183811.6},
       {90, 360458.0, 745.0233, 15.07906, 180487.0},
       {95, 540523.5, 718.2628, 22.27189, 171399.2},
       {100, 778275.0, 689.3526, 31.96117, 160975.5}}};
  for (const auto& row : kRows) {
    CAPTURE(row[0]);
    const auto& [kelvin, pressure, liquid, vapour, latent] = row;
    const Saturation line = nitrogen_saturation(kelvin);
    CHECK(relative_error(line.pressure_Pa, pressure) < 1.0e-9);
    CHECK(relative_error(line.liquid_kg_per_m3, liquid) < 1.0e-9);
    CHECK(relative_error(line.vapour_kg_per_m3, vapour) < 1.0e-9);
    CHECK(relative_error(line.latent_J_per_kg, latent) < 1.0e-9);
    CHECK(std::abs(nitrogen_saturation_K(pressure) - kelvin) < 1.0e-6);
  }
}

TEST_CASE("nitrogen: between the points the table is as good as the equation within 2e-6") {
  // A point stored with an open library in many digits, amounts in mol/m3. [n2_sat_multiprecision]
  constexpr double kMolarKg = 0.02801348;  // the one the library's equation uses
  const Saturation line = nitrogen_saturation(88.44577751867308);
  CHECK(relative_error(line.pressure_Pa, 314783.147077735) < 2.0e-6);
  CHECK(relative_error(line.liquid_kg_per_m3, 26879.459745379445 * kMolarKg) < 2.0e-6);
  CHECK(relative_error(line.vapour_kg_per_m3, 473.3323762579959 * kMolarKg) < 2.0e-6);
}

TEST_CASE("nitrogen: film vapour at one atmosphere") {
  // Transport after Lemmon and Jacobsen (2004). [n2_vapour_film_properties]
  constexpr std::array<std::array<double, 5>, 11> kRows{
      {{100, 3.48311, 6.95879e-06, 0.00938205, 1071.8},
       {125, 2.75937, 8.55849e-06, 0.0117379, 1055.15},
       {150, 2.2893, 1.00803e-05, 0.014005, 1048.56},
       {175, 1.95768, 1.1529e-05, 0.016184, 1045.31},
       {177.2525, 1.93251, 1.16562e-05, 0.0163761, 1045.11},
       {185.25, 1.84818, 1.21033e-05, 0.0170531, 1044.45},
       {200, 1.71066, 1.2911e-05, 0.0182802, 1043.5},
       {225, 1.51931, 1.42326e-05, 0.0203004, 1042.41},
       {250, 1.36664, 1.54996e-05, 0.0222511, 1041.75},
       {277.15, 1.23228, 1.68198e-05, 0.0242982, 1041.39},
       {293.15, 1.16483, 1.75729e-05, 0.0254727, 1041.34}}};
  for (const auto& row : kRows) {
    CAPTURE(row[0]);
    const auto& [kelvin, density, viscosity, conductivity, heat] = row;
    const Vapour film = nitrogen_vapour(kelvin);
    CHECK(relative_error(film.density_kg_per_m3, density) < 1.0e-9);
    CHECK(relative_error(film.viscosity_Pa_s, viscosity) < 1.0e-9);
    CHECK(relative_error(film.conductivity_W_per_m_K, conductivity) < 1.0e-9);
    CHECK(relative_error(film.heat_capacity_J_per_kg_K, heat) < 1.0e-9);
  }
}

TEST_CASE("nitrogen: surface tension at the boiling point") {
  // Mulero, Cachadina, Parra (2012). [n2_nbp_sigma]
  CHECK(relative_error(nitrogen_surface_tension_N_per_m(77.35499), 0.00887961) < 1.0e-5);
}

TEST_CASE(
    "nitrogen: second virial coefficient of the handbook, and how far the equation lies off") {
  // CRC Handbook polynomial in the third column; the second column is the reference equation, up to
  // 1.5 cm3/mol away above 200 K. [n2_second_virial] [virial_poly_other]
  constexpr std::array<std::array<double, 3>, 15> kRows{{{100, -160.183, -162.08},
                                                         {125, -104.315, -104.597},
                                                         {150, -71.7703, -71.015},
                                                         {175, -50.5756, -49.351},
                                                         {200, -35.7352, -34.372},
                                                         {225, -24.8026, -23.475},
                                                         {250, -16.4405, -15.231},
                                                         {273.15, -10.2954, -9.226},
                                                         {277.15, -9.3562, -8.312},
                                                         {293.15, -5.9006, -4.959},
                                                         {298.15, -4.91024, -4.0},
                                                         {300, -4.55369, -3.655},
                                                         {313.15, -2.16202, -1.345},
                                                         {350, 3.42591, 4.033},
                                                         {400, 9.1026, 9.481}}};
  for (const auto& row : kRows) {
    CAPTURE(row[0]);
    const auto& [kelvin, equation, handbook] = row;
    const double ours = nitrogen_second_virial_m3_per_mol(kelvin) * 1.0e6;
    CHECK(std::abs(ours - handbook) < 0.001);
    if (kelvin >= 150.0) CHECK(std::abs(ours - equation) < 1.5);
  }
}

TEST_CASE("nitrogen: second virial coefficient within 2 cm3/mol of Dymond and Smith's") {
  // Dymond and Smith (1980), recalled from memory. [n2_second_virial_dymond]
  constexpr std::array<std::array<double, 2>, 7> kRows{{{150, -71.5},
                                                        {200, -35.2},
                                                        {250, -16.2},
                                                        {273.15, -10.5},
                                                        {300, -4.2},
                                                        {350, 2.9},
                                                        {400, 9.0}}};
  for (const auto& row : kRows) {
    CAPTURE(row[0]);
    const auto& [kelvin, published] = row;
    CHECK(std::abs(nitrogen_second_virial_m3_per_mol(kelvin) * 1.0e6 - published) < 2.0);
  }
}

TEST_CASE("nitrogen: gas density in a package within 2e-4 up to 4 bar and 6e-4 up to 10 bar") {
  // [n2_gas_density_Z]
  constexpr std::array<std::array<double, 4>, 18> kRows{{{1, 273.15, 1.234028, 0.9995494},
                                                         {1, 293.15, 1.149594, 0.9997603},
                                                         {1, 313.15, 1.076002, 0.999919},
                                                         {1.01325, 277.15, 1.232281, 0.9995913},
                                                         {1.01325, 293.15, 1.16483, 0.9997571},
                                                         {2, 277.15, 2.43329, 0.9991984},
                                                         {2, 293.15, 2.299729, 0.9995252},
                                                         {3, 277.15, 3.65137, 0.9988055},
                                                         {3, 293.15, 3.450389, 0.9992949},
                                                         {3, 313.15, 3.22849, 0.9997692},
                                                         {4, 277.15, 4.870384, 0.9984178},
                                                         {4, 293.15, 4.601558, 0.9990692},
                                                         {4, 313.15, 4.30495, 0.9997004},
                                                         {6, 293.15, 6.905358, 0.9986322},
                                                         {8, 293.15, 9.211, 0.9982141},
                                                         {10, 273.15, 12.38752, 0.9957372},
                                                         {10, 293.15, 11.51836, 0.997815},
                                                         {10, 313.15, 10.76589, 0.9993735}}};
  for (const auto& row : kRows) {
    CAPTURE(row[0]);
    CAPTURE(row[1]);
    const auto& [bar, kelvin, density, compressibility] = row;
    const double allowed = bar <= 4.0 ? 2.0e-4 : 6.0e-4;
    CHECK(relative_error(nitrogen_gas_kg_per_m3(bar * 1.0e5, kelvin), density) < allowed);
    CHECK(std::abs(nitrogen_compressibility(bar * 1.0e5, kelvin) - compressibility) < allowed);
  }
}

TEST_CASE("nitrogen: one litre of liquid gives 692 litres of gas at 20 C") {
  const auto expansion = [](double celsius) {
    return kLiquidNitrogenKgPerM3 / nitrogen_gas_kg_per_m3(101325.0, celsius + 273.15);
  };
  CHECK(relative_error(expansion(0.0), 644.668) < 5.0e-4);        // [n2_expansion_ratio_0]
  CHECK(relative_error(expansion(15.0), 680.183) < 5.0e-4);       // [n2_expansion_ratio_15]
  CHECK(relative_error(expansion(20.0), 692.019) < 5.0e-4);       // [n2_expansion_ratio_20]
  CHECK(relative_error(expansion(21.111111), 694.649) < 5.0e-4);  // [n2_expansion_ratio_21_11]
  CHECK(relative_error(expansion(25.0), 703.853) < 5.0e-4);       // [n2_expansion_ratio_25]
  // What safety leaflets print, two of the four from memory. [n2_expansion_ratio_trade]
  CHECK(relative_error(expansion(15.0), 682.0) < 0.02);
  CHECK(relative_error(expansion(15.0), 683.0) < 0.02);
  CHECK(relative_error(expansion(21.1), 696.5) < 0.02);
  CHECK(relative_error(expansion(20.0), 700.0) < 0.02);
}

TEST_CASE("nitrogen: liquid saturated under pressure flashes this share when it is let out") {
  // [ln2_flash_fraction]
  constexpr std::array<std::array<double, 3>, 5> kRows{{{10000.0, 78.1625, 0.0083189},
                                                        {20000.0, 78.9164, 0.016104},
                                                        {50000.0, 80.9268, 0.036947},
                                                        {100000.0, 83.692, 0.065849},
                                                        {150000.0, 85.9826, 0.090027}}};
  for (const auto& row : kRows) {
    CAPTURE(row[0]);
    const auto& [gauge, kelvin, share] = row;
    CHECK(std::abs(nitrogen_saturation_K(101325.0 + gauge) - kelvin) < 1.0e-4);
    CHECK(relative_error(nitrogen_flash_share(gauge), share) < 1.0e-4);
  }
}

}  // namespace
}  // namespace rimebench::physics
