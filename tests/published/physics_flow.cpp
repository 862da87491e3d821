#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/flight.hpp"
#include "plant_model/physics/headspace.hpp"
#include "plant_model/physics/package.hpp"
#include "plant_model/physics/valve_flow.hpp"
#include "tests/physics/relative_error.hpp"

namespace rimebench::physics {
namespace {

TEST_CASE("valve: Torricelli's jet under 250 mm of liquid leaves at 2.214 m/s") {
  // Torricelli, recalled from memory. [torricelli]
  CHECK(relative_error(jet_speed_m_per_s(driving_Pa(0.0, 0.25)), 2.2143452756966333) < 1.0e-9);
}

TEST_CASE("valve: orifice flow in a documented example of an open library") {
  // ISO 5167 gas meter; its approach and expansion factors are put into the coefficient, and the
  // density, which is air's there, enters as a ratio. [orifice_flow]
  const double beta = 0.0222 / 0.0739;
  const double discharge = 0.5988 * 0.9975 / std::sqrt(1.0 - std::pow(beta, 4));
  const double density_ratio = 1.1646 / kLiquidNitrogenKgPerM3;
  const double ours = nozzle_flow_kg_per_s(discharge, 0.0222, 1000.0) * std::sqrt(density_ratio);
  CHECK(relative_error(ours, 0.01120390943807026) < 1.0e-9);
}

TEST_CASE("valve: the default discharge is that of a sharp edge, near Kirchhoff's slit") {
  // Handbooks 0.60 to 0.62 [orifice_cd_sharp]; Kirchhoff's pi/(pi+2), from memory
  // [orifice_cc_kirchhoff].
  CHECK(std::abs(kSharpEdgedDischarge - 0.61) < 0.015);
  CHECK(std::abs(kSharpEdgedDischarge - 0.6110154703516573) < 0.015);
}

TEST_CASE("landing: a 2 mm jet must fall within 25.2 mm of the centre of a 202 can's opening") {
  // Neck plug diameter 52.4 mm, published can dimensions. [can202_neck_plug]
  const double radius = 0.5 * 52.4e-3;
  CHECK(jet_share(1.0e-3, radius, 25.1e-3) == 1.0);
  CHECK(jet_share(1.0e-3, radius, 25.3e-3) < 1.0);
  CHECK(jet_share(1.0e-3, radius, 27.3e-3) == 0.0);
}

TEST_CASE("headspace: 1.43 volumes of nitrogen sweep 20.9 % of oxygen down to 5 %") {
  // NFPA 69 sweep-through purging, complete mixing; recalled from memory. [purge_sweep]
  const double volume = 20.0e-6;
  const double swept_kg =
      1.43031 * volume * kNitrogenMolarKg * kAtmospherePa / (kGasConstant * 250.0);
  const OpenHeadspace open{volume, 250.0, 1.0, 0.0, kAtmospherePa};
  const HeadspaceGas after = swept({1.0, 250.0, 0.0}, open, swept_kg, 1.0);
  CHECK(relative_error(20.9 * after.air_fraction, 5.0) < 1.0e-5);
}

TEST_CASE("package: a 0.1 mm aluminium wall gives 0.182 % of volume at 30 psi") {
  // Roark's thin cylinder, from memory and recomputed. [can_wall_compliance]
  const Wall wall{0.033, 1.0e-4, 69.0e9, 0.33};
  CHECK(relative_error(wall_volume_strain(wall, 206842.7), 0.00182022) < 1.0e-5);
}

}  // namespace
}  // namespace rimebench::physics
