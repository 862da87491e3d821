#include <doctest/doctest.h>

#include "harness/campaign/recorder.hpp"
#include "harness/cli/inproc_node.hpp"
#include "tests/support/golden_runs.hpp"

using namespace rimebench;

TEST_CASE("shift: eight hours at 600 a minute pass, and are the same eight hours as ever") {
  Diagnostics diagnostics;
  const auto scenario =
      load_scenario(REPOSITORY_DIR "/config/scenarios/whole_shift.yaml", {}, diagnostics);
  REQUIRE(scenario);
  Recorder recorder(*scenario);
  InprocNode node;
  LockstepResult result;
  run_lockstep(scenario->plant, node, {}, recorder, result);
  const Verdict verdict = recorder.finish(result.end, result.exchanges, "");
  CHECK(verdict.outcome == expected_outcome(scenario->claim));
  CHECK(verdict.reason == "");
  CHECK(verdict.signal_changes >= 3'500'000);
  CHECK(verdict.containers > 250'000);
  CHECK(verdict.unfinished == 0);

  const auto golden = test::read_golden("tests/shift/golden_digests.txt");
  REQUIRE(golden.size() == 1);
  CHECK(golden[0].feed_us == scenario->plant.feed.raw);
  test::check_golden(golden[0], {verdict.digest, verdict.signal_changes, verdict.end});
}
