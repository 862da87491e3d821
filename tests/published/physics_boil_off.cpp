#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <numbers>

#include "plant_model/physics/boil_off.hpp"
#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/nitrogen.hpp"
#include "tests/physics/relative_error.hpp"

namespace rimebench::physics {
namespace {

TEST_CASE("film boiling: Berenson's Nusselt number in a validation case of the CFD literature") {
  // Case after Welch and Wilson (2000); latent heat only. [berenson_cfd_benchmark_Nu]
  // The constant 0.425 and the form: Berenson, J. Heat Transfer 83 (1961) 351. [berenson_equation]
  const double length = capillary_length_m(0.1, 195.0, 9.81);
  const FilmBoiling film{.conductivity_W_per_m_K = 1.0,
                         .viscosity_Pa_s = 0.005,
                         .vapour_kg_per_m3 = 5.0,
                         .liquid_kg_per_m3 = 200.0,
                         .latent_J_per_kg = 1.0e4,
                         .superheat_K = 5.0,
                         .gravity = 9.81};
  CHECK(relative_error(berenson_W_per_m2_K(film, length) * length / 1.0, 2.6208) < 1.0e-4);
  // Wavelength of the most dangerous Taylor mode in the same case. [berenson_cfd_benchmark_lambda]
  CHECK(relative_error(2.0 * std::numbers::pi * std::sqrt(3.0) * length, 0.078684) < 1.0e-4);
}

TEST_CASE("film boiling: the textbook's heated rod in water loses 238 W/m2K by convection") {
  // Incropera and DeWitt, chapter 10, recalled from memory and recomputed. [bromley_incropera]
  const double superheat = 528.0 - 373.0;
  const FilmBoiling film{.conductivity_W_per_m_K = 0.0299,
                         .viscosity_Pa_s = 1.525e-5,
                         .vapour_kg_per_m3 = 0.4902,
                         .liquid_kg_per_m3 = 957.9,
                         .latent_J_per_kg = 2257000.0 + 0.8 * 1980.0 * superheat,
                         .superheat_K = superheat,
                         .gravity = 9.8};
  CHECK(relative_error(0.62 * film_boiling_group_W_per_m2_K(film, 0.006), 238.0) < 2.0e-3);
}

TEST_CASE("film boiling: nitrogen on a drink takes 25.6 kW/m2 at 4 C and 27.5 at 20 C") {
  // Berenson (1961) with the properties of Span (2000), computed apart; nature within 50 %.
  // [berenson_ln2_on_water_4C] [berenson_ln2_on_water_20C]
  CHECK(relative_error(nitrogen_on_drink_W_per_m2(277.15), 25569.0) < 1.0e-3);
  CHECK(relative_error(nitrogen_on_drink_W_per_m2(293.15), 27543.0) < 1.0e-3);
  const double cold_K = 277.15 - kNitrogenBoilingK;
  CHECK(relative_error(nitrogen_on_drink_W_per_m2(277.15) / cold_K, 127.98) < 1.0e-3);
  CHECK(relative_error(nitrogen_on_drink_W_per_m2(277.15) / kNitrogenLatentJPerKg, 0.12838) <
        1.0e-3);
  CHECK(relative_error(nitrogen_on_drink_W_per_m2(293.15) / kNitrogenLatentJPerKg, 0.13829) <
        1.0e-3);
}

TEST_CASE("film boiling: with the default factor the flux lies between what two theses measured") {
  // Jeje (1974) 22 to 35 kW/m2 on a pool [ln2_on_water_jeje1974], Chang (1981) 40 kW/m2 spreading
  // [ln2_on_water_chang1981]; the model on cold water must fall inside 20 to 45.
  const double flux = kDefaultFluxFactor * nitrogen_on_drink_W_per_m2(277.15);
  CHECK(flux > 22000.0);
  CHECK(flux < 40000.0);
}

TEST_CASE("boil-off: capillary length 1.06 mm, rigid puddle 2.13 mm, calm lens on water 4.81 mm") {
  // Biance, Clanet, Quere (2003) and the floating-lens balance, both recalled from memory.
  // [ln2_capillary_length] [leidenfrost_puddle_thickness] [floating_lens_thickness]
  const Saturation boiling = nitrogen_saturation(kNitrogenBoilingK);
  const double length = capillary_length_m(nitrogen_surface_tension_N_per_m(kNitrogenBoilingK),
                                           boiling.liquid_kg_per_m3 - boiling.vapour_kg_per_m3);
  CHECK(relative_error(length, 0.0010629) < 1.0e-4);
  CHECK(relative_error(rigid_puddle_m(), 0.002126) < 1.0e-3);
  CHECK(relative_error(floating_lens_m(277.15), 0.004814) < 1.0e-3);
}

}  // namespace
}  // namespace rimebench::physics
