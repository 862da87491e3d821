#include "plant_model/physics/gauge.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "tests/physics/relative_error.hpp"
#include "tests/physics/worked_can.hpp"

namespace rimebench::physics::worked {
namespace {

double reading_psi(double dead_ml, double true_psi) {
  const double reading =
      gauge_reading_Pa(fill_kg(355.0), at(20.0), dead_ml * kMillilitre, true_psi * kPascalPerPsi)
          .value();
  return psi(reading);
}

// The readings were computed apart with a wall that does not move. Ours gives way: as the pressure
// falls the headspace shrinks a little, so the reading is up to 0.25 psi higher.
TEST_CASE("gauge: dead volumes of 1, 2 and 4 mL read 28.6, 27.2 and 24.9 psig for a true 30") {
  CHECK(std::abs(reading_psi(1.0, 30.0) - 28.6) < 0.05);
  CHECK(std::abs(reading_psi(2.0, 30.0) - 27.2) < 0.25);
  CHECK(std::abs(reading_psi(4.0, 30.0) - 24.9) < 0.25);
}

TEST_CASE("gauge: without dead volume it reads the truth, and an unpressurised pack reads zero") {
  CHECK(relative_error(reading_psi(0.0, 30.0), 30.0) < 1.0e-9);
  CHECK(std::abs(reading_psi(4.0, 0.0)) < 0.1);
}

TEST_CASE("gauge: the pressure before the piercing comes back from the reading") {
  for (const double dead_ml : {0.5, 2.0, 8.0}) {
    for (const double true_Pa : {-20.0e3, 60.0e3, 207.0e3, 500.0e3}) {
      const double dead = dead_ml * kMillilitre;
      const double reading = gauge_reading_Pa(fill_kg(355.0), at(20.0), dead, true_Pa).value();
      const double before =
          gauge_before_piercing_Pa(fill_kg(355.0), at(20.0), dead, reading).value();
      CHECK(relative_error(before, true_Pa) < 1.0e-9);
    }
  }
}

TEST_CASE("gauge: a pack full of liquid has no reading") {
  CHECK_FALSE(gauge_reading_Pa(fill_kg(400.0), at(20.0), kMillilitre, 0.0).has_value());
  CHECK_FALSE(gauge_before_piercing_Pa(fill_kg(400.0), at(20.0), kMillilitre, 0.0).has_value());
}

}  // namespace
}  // namespace rimebench::physics::worked
