#include "harness/session/paced.hpp"

#include <doctest/doctest.h>

#include <memory>
#include <string>
#include <vector>

#include "firmware_sim/core/dose_controller.hpp"
#include "harness/cli/inproc_node.hpp"
#include "harness/cli/recorder.hpp"
#include "harness/config/load.hpp"
#include "harness/session/lockstep.hpp"
#include "tests/paced/simulated_wire.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

using Changes = std::vector<SignalChange>;

class Kept final : public RunSink {
 public:
  void on_change(const SignalChange& change) override { changes.push_back(change); }
  void on_row(const LedgerRow& row) override { rows.push_back(row); }

  Changes of(Channel channel) const {
    Changes found;
    for (const SignalChange& change : changes) {
      if (change.channel == channel) found.push_back(change);
    }
    return found;
  }

  Changes changes;
  std::vector<LedgerRow> rows;
};

/// The steady rotary line for ten seconds.
Scenario steady() {
  Diagnostics diagnostics;
  auto scenario =
      load_scenario(REPOSITORY_DIR "/config/scenarios/rotary_steady.yaml", {}, diagnostics);
  REQUIRE(scenario);
  scenario->plant.feed = 10_s;
  return *scenario;
}

PacedResult run(const Scenario& scenario, const World& world, RunSink& sink) {
  PacedResult result;
  PacedNode node(std::make_unique<SimulatedWire<DoseController>>(world));
  run_paced(scenario.plant, node, sink, result);
  return result;
}

std::string loss(const World& world) {
  Kept kept;
  try {
    run(steady(), world, kept);
  } catch (const LinkError& error) {
    return error.what();
  }
  return "nothing";
}

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
  const PacedResult result = run(scenario, {}, paced);
  CHECK(over_budget(result, 1_ms).empty());
  CHECK(paced.rows.size() == lockstep.rows.size());
  const Changes expected = lockstep.of(Channel::kValve);
  const Changes shots = paced.of(Channel::kValve);
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
  const PacedResult result = run(steady(), world, kept);
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
  const PacedResult result = run(steady(), world, kept);
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
  World world;
  bool slept = false;
  world.oversleep = [&slept](Instant at) {
    if (slept || at < Instant{4'000'000}) return 0_us;
    slept = true;
    return 30_ms;
  };
  Recorder recorder(scenario);
  const PacedResult result = run(scenario, world, recorder);
  CHECK(over_budget(result, 60_ms).empty());
  const std::string lost = over_budget(result, 5_ms);
  CHECK(holds(lost, "5000 us are allowed"));
  CHECK(holds(to_text(result, 5_ms), "NOT kept"));
  CHECK(holds(to_text(result, 5_ms), "no determinism claim"));
  CHECK(recorder.finish(result.end, result.exchanges, lost).outcome == Outcome::kInconclusive);
}

TEST_CASE("paced: in time and within the budget, the verdict is the line's own") {
  Scenario scenario = steady();
  scenario.run_limits.containers_min = 40;
  Recorder recorder(scenario);
  const PacedResult result = run(scenario, {}, recorder);
  const Verdict verdict = recorder.finish(result.end, result.exchanges, over_budget(result, 5_ms));
  CHECK(verdict.outcome == Outcome::kPass);
  CHECK(verdict.reason == "");
}

TEST_CASE("paced: a slow link is late even if the bench is not") {
  World world;
  world.to_node = world.to_bench = [](int) { return 8_ms; };
  Kept kept;
  const PacedResult result = run(steady(), world, kept);
  CHECK(result.link.median == 8_ms);
  CHECK_FALSE(over_budget(result, 5_ms).empty());
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
