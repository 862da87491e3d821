#include "plant_model/spec/stop_cost.hpp"

#include <doctest/doctest.h>

#include "tests/support/golden_runs.hpp"

using namespace rimebench;

namespace {

/// What one stop of the line really costs: flagged containers, in a run with that stop alone.
std::int64_t really_lost(PlantSpec spec, const LineStop& stop) {
  spec.happens.stops = {stop};
  spec.feed = (stop.at - Instant{0}) + stop.lasts + stop.ramp + 40_s;
  std::int64_t lost = 0;
  for (const LedgerRow& row : test::run_inproc(spec).rows) lost += row.flagged;
  return lost;
}

void check_within(const std::string& scenario, Duration lasts, Duration ramp) {
  const PlantSpec spec = test::plant_of(scenario);
  for (const Duration later : {0_ms, 37_ms, 1'100_ms, 2'300_ms, 3'700_ms, 4'900_ms}) {
    const LineStop stop{Instant{40'000'000} + later, lasts, 500_ms, ramp};
    const StopCost cost = stop_cost(spec, stop);
    const std::int64_t lost = really_lost(spec, stop);
    INFO(scenario, ", ", lasts.raw, " us, later by ", later.raw, ": ", cost.least, " to ",
         cost.most);
    CHECK(cost.least <= cost.most);
    CHECK(cost.least <= lost);
    CHECK(lost <= cost.most);
  }
}

}  // namespace

TEST_CASE("stops: what one costs on a locked line lies between the least and the most") {
  for (const Duration lasts : {1_s, 10_s, 600_s}) check_within("rotary_steady", lasts, 2_s);
}

TEST_CASE("stops: what one costs on a queued line lies between the least and the most") {
  for (const Duration lasts : {1_s, 10_s, 600_s}) check_within("inline_ramp", lasts, 2_s);
}

TEST_CASE("stops: a long stop costs all between nozzle and seam, and the most is not far away") {
  const PlantSpec spec = test::plant_of("rotary_steady");
  const StopCost cost = stop_cost(spec, {Instant{40'000'000}, 60_s, 500_ms, 2_s});
  // 675 mm of cans 90 mm apart, and those that pass too slowly.
  CHECK(cost.least >= 7);
  CHECK(cost.most <= 30);
}
