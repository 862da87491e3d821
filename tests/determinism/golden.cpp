#include <doctest/doctest.h>

#include "tests/support/golden_runs.hpp"

using namespace rimebench;

TEST_CASE("determinism: every build gives the digests of the golden table") {
  const auto table = test::read_golden("tests/determinism/golden_digests.txt");
  CHECK(table.size() >= 12);
  for (const test::GoldenRun& golden : table) {
    const auto run = test::run_inproc(test::plant_of(golden.scenario, golden.feed_us));
    test::check_golden(golden, run.proof());
  }
}
