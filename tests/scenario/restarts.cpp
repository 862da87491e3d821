/// A controller that loses its supply on a running line, at many moments and for short and long.

#include <doctest/doctest.h>

#include "harness/config/load.hpp"
#include "tests/support/verdict_of.hpp"

using namespace rimebench;

namespace {

void check_restarts(const std::string& file) {
  Diagnostics mistakes;
  auto scenario = load_scenario(REPOSITORY_DIR "/config/scenarios/" + file, {}, mistakes);
  REQUIRE(scenario);
  Happenings& happens = scenario->plant.happens;
  scenario->plant.feed = Duration{120'000'000};
  REQUIRE(happens.operator_acts.size() == 2);
  for (const Duration off : {200_ms, 4_s, 25_s}) {
    for (std::int64_t later = 0; later < 300'000; later += 74'000) {
      const CoreRestart restart{Instant{60'000'000 + later}, off};
      happens.core_restart = restart;
      happens.operator_acts[0].at = restart.at + restart.lasts + 100_ms;
      happens.operator_acts[1].at = restart.at + restart.lasts + 1_s;
      const Verdict verdict = test::verdict_of(*scenario);
      INFO(file, ", ", later, " us later, off for ", off.raw, " us");
      CHECK(verdict.escapes_sensed.count == 0);
      CHECK(verdict.false_rejects.count <= 30);
      CHECK(verdict.removed >= 4);  // those that it forgot
    }
  }
}

}  // namespace

TEST_CASE("restarts: of a locked line whatever was on it is rejected, whenever it was") {
  check_restarts("controller_restarts.yaml");
}

TEST_CASE("restarts: of a queued line whatever waited at the seamer is rejected") {
  check_restarts("controller_restarts_queued.yaml");
}
