#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/water.hpp"
#include "tests/physics/relative_error.hpp"

namespace rimebench::physics {
namespace {

constexpr double kelvin(double celsius) { return celsius + 273.15; }

TEST_CASE("water: IF97 prints these saturation pressures in its Table 35") {
  // IAPWS R7-97(2012). [if97_psat_300] [if97_psat_500] [if97_psat_600] [if97_r4_coefficients]
  CHECK(relative_error(water_saturation_Pa(300.0), 3536.58941) < 5.0e-9);
  CHECK(relative_error(water_saturation_Pa(500.0), 2638897.76) < 5.0e-9);
  CHECK(relative_error(water_saturation_Pa(600.0), 12344314.6) < 5.0e-9);
}

TEST_CASE("water: IF97 prints these boiling temperatures in its Table 36") {
  // IAPWS R7-97(2012). [if97_tsat_0_1MPa] [if97_tsat_1MPa] [if97_tsat_10MPa]
  CHECK(std::abs(water_saturation_K(0.1e6) - 372.755919) < 5.0e-7);
  CHECK(std::abs(water_saturation_K(1.0e6) - 453.035632) < 5.0e-7);
  CHECK(std::abs(water_saturation_K(10.0e6) - 584.149488) < 5.0e-7);
}

TEST_CASE("water: vapour pressure from chilled drink to pasteuriser, by both equations") {
  // IF97 by an independent library; Wagner and Pruss computed from IAPWS G7-04 equation 4.
  // [water_psat_table] [g7_psat_coefficients]
  struct Row {
    double celsius, if97_Pa, wagner_Pa;
  };
  constexpr std::array<Row, 13> kRows{{{0.01, 611.657, 611.6571},
                                       {4, 813.5494, 813.5127},
                                       {5, 872.5749, 872.5302},
                                       {10, 1228.184, 1228.112},
                                       {15, 1705.745, 1705.677},
                                       {20, 2339.215, 2339.194},
                                       {25, 3169.747, 3169.824},
                                       {30, 4246.688, 4246.92},
                                       {38, 6632.37, 6632.951},
                                       {40, 7384.427, 7385.11},
                                       {50, 12351.27, 12352.48},
                                       {60, 19945.8, 19947.38},
                                       {63, 22884.24, 22885.87}}};
  for (const Row& row : kRows) {
    CAPTURE(row.celsius);
    CHECK(relative_error(water_saturation_Pa(kelvin(row.celsius)), row.if97_Pa) < 1.0e-6);
    CHECK(relative_error(water_saturation_wagner_Pa(kelvin(row.celsius)), row.wagner_Pa) < 1.0e-6);
  }
}

TEST_CASE("water: Kell's density, and IAPWS-95 within its 0.01 kg/m3 of it") {
  // Kell, J. Chem. Eng. Data 20 (1975) 97; IAPWS-95 by an independent library.
  // [water_density_table] [water_kell_known]
  struct Row {
    double celsius, kell, iapws95;
  };
  constexpr std::array<Row, 12> kRows{{{1, 999.8985, 999.9018},
                                       {4, 999.972, 999.9749},
                                       {5, 999.9638, 999.9666},
                                       {10, 999.6996, 999.7025},
                                       {15, 999.0996, 999.1026},
                                       {20, 998.2041, 998.2072},
                                       {25, 997.0449, 997.0476},
                                       {30, 995.6473, 995.6495},
                                       {38, 992.9653, 992.9663},
                                       {40, 992.2158, 992.2164},
                                       {50, 988.0363, 988.035},
                                       {60, 983.1989, 983.1958}}};
  for (const Row& row : kRows) {
    CAPTURE(row.celsius);
    CHECK(std::abs(water_density_kg_per_m3(kelvin(row.celsius)) - row.kell) < 0.0001);
    CHECK(std::abs(water_density_kg_per_m3(kelvin(row.celsius)) - row.iapws95) < 0.01);
  }
}

TEST_CASE("water: 20 C water is 998.204 kg/m3, not the 997.936 of the swapped digits") {
  // Kell's denominator is 16.87985e-3; much public code has 16.89785e-3. [kell_coefficients]
  CHECK(std::abs(water_density_kg_per_m3(kelvin(20.0)) - 998.204) < 0.001);
}

}  // namespace
}  // namespace rimebench::physics
