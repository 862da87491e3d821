#include "harness/session/paced.hpp"

#include <doctest/doctest.h>

#include <memory>
#include <string>
#include <vector>

#include "firmware_sim/core/dose_controller.hpp"
#include "harness/campaign/recorder.hpp"
#include "harness/cli/inproc_node.hpp"
#include "harness/config/load.hpp"
#include "harness/judge/verdict_text.hpp"
#include "harness/session/lockstep.hpp"
#include "tests/paced/steady_line.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("paced: over a quick link every shot comes when lockstep has it, give or take the link") {
  const Scenario scenario = steady();
  Kept lockstep;
  InprocNode node;
  LockstepResult whole;
  run_lockstep(scenario.plant, node, {}, lockstep, whole);
  Kept paced;
  const PacedResult result = run_paced_on(scenario, {}, paced);
  CHECK(result.inputs_late == 0);
  CHECK(paced.rows.size() == lockstep.rows.size());
  const std::vector<SignalChange> expected = lockstep.of(Channel::kValve);
  const std::vector<SignalChange> shots = paced.of(Channel::kValve);
  CHECK(expected.size() > 60);
  REQUIRE(shots.size() == expected.size());
  for (std::size_t i = 0; i < shots.size(); ++i) {
    CHECK(shots[i].value == expected[i].value);
    CHECK(shots[i].at > expected[i].at - 200_us);
    CHECK(shots[i].at < expected[i].at + 200_us);
  }
}

TEST_CASE("paced: the node's clock may start anywhere and run 200 ppm off") {
  World world;
  world.node_clock_at_start = Instant{3'000'000'000'000};
  world.node_fast_ppm = 200;
  Kept kept;
  const PacedResult result = run_paced_on(steady(), world, kept);
  CHECK(result.clock_drift_ppm > 195.0);
  CHECK(result.clock_drift_ppm < 205.0);
  CHECK(result.clock_offset > 2'999'999'000_ms);
  CHECK(result.input.worst < 500_us);
  for (const LedgerRow& row : kept.rows)
    CHECK(row.cause == static_cast<std::int64_t>(Cause::kNone));
}

TEST_CASE("paced: how late the bench and the link were is accounted for, each on its own") {
  World world;
  world.to_node = world.to_bench = [](int) { return 300_us; };
  world.oversleep = [](Instant at) { return at > Instant{5'000'000} ? 700_us : 0_us; };
  Kept kept;
  const PacedResult result = run_paced_on(steady(), world, kept);
  CHECK(result.input.count > 300);
  CHECK(result.bench.worst >= 700_us);
  CHECK(result.bench.worst < 1'500_us);
  CHECK(result.link.median == 300_us);
  CHECK(result.link.worst < 320_us);
  CHECK(result.input.worst >= 1'000_us);
  CHECK(result.input.worst <= result.bench.worst + result.link.worst);
  CHECK(result.pins.worst == 0_us);
}

TEST_CASE("paced: one input late beyond the budget and the run proves nothing") {
  const Scenario scenario = steady();
  bool slept = false;
  World world;
  world.oversleep = [&slept](Instant at) {
    if (slept || at < Instant{4'000'000}) return 0_us;
    slept = true;
    return 30_ms;
  };
  Recorder recorder(scenario);
  const PacedResult result = run_paced_on(scenario, world, recorder);
  CHECK(result.inputs_late > 0);
  CHECK(result.first_late > Instant{3'900'000});
  CHECK(result.first_late < Instant{4'100'000});
  const Verdict verdict = recorder.finish(result.end, result.exchanges, "");
  CHECK(verdict.outcome == Outcome::kInconclusive);
  CHECK(holds(verdict.reason, "5000 us are allowed"));
  const std::string text = to_terminal(scenario, verdict, "");
  CHECK(holds(text, "no determinism claim"));
  CHECK(holds(text, " inputs were more than 5000 us late"));

  slept = false;
  world.late_max = 60_ms;
  Recorder patient(scenario);
  CHECK(run_paced_on(scenario, world, patient).inputs_late == 0);
}

TEST_CASE("paced: in time and within the budget, the verdict is the line's own") {
  Scenario scenario = steady();
  scenario.run_limits.containers_min = 40;
  Recorder recorder(scenario);
  const PacedResult result = run_paced_on(scenario, {}, recorder);
  const Verdict verdict = recorder.finish(result.end, result.exchanges, "");
  CHECK(verdict.outcome == Outcome::kPass);
  CHECK(verdict.reason == "");
}

TEST_CASE("paced: a slow link is late even if the bench is not") {
  World world;
  world.to_node = world.to_bench = [](int) { return 8_ms; };
  Kept kept;
  const PacedResult result = run_paced_on(steady(), world, kept);
  CHECK(result.link.median == 8_ms);
  CHECK(result.inputs_late == result.input.count);
}

TEST_CASE("paced: a frame that is lost, damaged or out of order ends the run with its cause") {
  World silent;
  silent.tamper = [](int n, Bytes frame) { return n < 200 ? frame : Bytes{}; };
  CHECK(holds(loss(silent), "no answer for 1000 ms"));

  World damaged;
  damaged.tamper = [](int n, Bytes frame) {
    if (n == 200) frame[2] ^= 0x41U;
    return frame;
  };
  CHECK(holds(loss(damaged), "a frame arrived damaged"));

  World gap;
  gap.tamper = [](int n, Bytes frame) { return n == 200 ? Bytes{} : frame; };
  const std::string found = loss(gap);
  CHECK((holds(found, "instead of") || holds(found, "outputs of it were lost")));
  CHECK(holds(found, "last good simulated time"));
}

TEST_CASE("paced: a node that never answers the hello is given up") {
  World mute;
  mute.tamper = [](int, const Bytes&) { return Bytes{}; };
  CHECK(holds(loss(mute), "no answer to the hello"));
}
