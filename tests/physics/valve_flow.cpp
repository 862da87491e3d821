#include "plant_model/physics/valve_flow.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <initializer_list>

#include "tests/physics/relative_error.hpp"

namespace rimebench::physics {
namespace {

constexpr ValveTiming kValve{6.0e-3, 2.0e-3, 3.0e-3};

TEST_CASE("valve: 10 mm of level on a 250 mm head is 2 % of dose") {
  const double here = nozzle_flow_kg_per_s(0.61, 1.5e-3, driving_Pa(0.0, 0.25));
  const double higher = nozzle_flow_kg_per_s(0.61, 1.5e-3, driving_Pa(0.0, 0.26));
  CHECK(std::abs(higher / here - 1.02) < 0.0005);
}

TEST_CASE("valve: one per cent of vapour by mass cuts the flow to about 0.6") {
  CHECK(two_phase_factor(0.0) == 1.0);
  CHECK(std::abs(two_phase_factor(0.01) - 0.6) < 0.02);
  // By hand: vapour alone flows at the root of its share of the liquid's density.
  CHECK(relative_error(two_phase_factor(1.0), std::sqrt(4.612137 / 806.0845)) < 1.0e-6);
}

TEST_CASE("valve: dose is proportional to the command less the difference of the delays") {
  CHECK(relative_error(full_flow_s(44.0e-3, kValve), 40.0e-3) < 1.0e-12);
  CHECK(relative_error(full_flow_s(54.0e-3, kValve) - full_flow_s(44.0e-3, kValve), 10.0e-3) <
        1.0e-12);
}

TEST_CASE(
    "valve: a command shorter than the stroke gives a triangle, and one below the delay nothing") {
  CHECK(full_flow_s(3.9e-3, kValve) == 0.0);
  CHECK(full_flow_s(0.0, {1.0e-3, 2.0e-3, 3.0e-3}) == 0.0);
  CHECK(relative_error(full_flow_s(5.5e-3, kValve), 1.5e-3 * 1.5e-3 / 3.0e-3) < 1.0e-12);
  CHECK(std::abs(full_flow_s(7.0e-3, kValve) - full_flow_s(7.0e-3 - 1.0e-12, kValve)) < 1.0e-11);
  CHECK(relative_error(full_flow_s(1.0e-3, {0.0, 0.0, 0.0}), 1.0e-3) < 1.0e-12);
}

TEST_CASE("valve: the command for a flow time undoes the flow time of a command") {
  for (const double command_s : {4.5e-3, 6.9e-3, 7.1e-3, 20.0e-3, 60.0e-3}) {
    CAPTURE(command_s);
    CHECK(relative_error(command_for_s(full_flow_s(command_s, kValve), kValve), command_s) < 1e-12);
  }
  CHECK(command_for_s(0.0, kValve) == 0.0);
}

TEST_CASE("valve: shortest proportional command is opening, stroke and three sigma of jitter") {
  CHECK(relative_error(shortest_linear_command_s(kValve, 0.2e-3), 9.6e-3) < 1.0e-12);
}

TEST_CASE("valve: half a per cent of time and two of pressure scatter a dose by 1.1 per cent") {
  CHECK(relative_error(dose_scatter(0.005, 0.02, 0.0), std::sqrt(0.000125)) < 1.0e-12);
  CHECK(relative_error(dose_scatter(0.0, 0.0, 0.03), 0.03) < 1.0e-12);
}

}  // namespace
}  // namespace rimebench::physics
