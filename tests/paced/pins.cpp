/// Outputs stand in the stream when they were due, their pins when the node's port measured them.

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "harness/cli/trace_commands.hpp"
#include "harness/judge/verdict_json.hpp"
#include "tests/judge/judged.hpp"
#include "tests/paced/steady_line.hpp"
#include "tests/trace/scratch.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

World slow_pins() {
  World world;
  world.pins_take = 400_us;
  return world;
}

}  // namespace

TEST_CASE("pins: each opening is due when the controller said and real when its pin moved") {
  Kept quick;
  run_paced_on(steady(), {}, quick);
  Kept slow;
  run_paced_on(steady(), slow_pins(), slow);
  const Changes due = slow.of(Channel::kValve);
  const Changes pins = slow.of(Channel::kValvePin);
  const Changes moves = slow.of(Channel::kValveActual);
  CHECK(due.size() > 60);
  REQUIRE(pins.size() == due.size());
  REQUIRE(moves.size() == due.size());
  for (std::size_t i = 0; i < due.size(); ++i) {
    CHECK(pins[i].value == due[i].value);
    CHECK(pins[i].at >= due[i].at + 400_us);
    CHECK(pins[i].at <= due[i].at + 900_us);  // two outputs one after the other, and an input
    CHECK(moves[i].at >= pins[i].at);
  }
  CHECK(slow.of(Channel::kPacedPinMedian).at(0).value == 400);
  CHECK(quick.of(Channel::kPacedPinWorst).empty());
}

TEST_CASE(
    "pins: of the outputs only levels have a pin, and the line stands still without its own") {
  Kept kept;
  run_paced_on(steady(), slow_pins(), kept);
  CHECK(kept.of(Channel::kLinePermitPin).size() == kept.of(Channel::kLinePermit).size());
  CHECK(kept.of(Channel::kSupplyIsolationPin).size() == kept.of(Channel::kSupplyIsolation).size());
  CHECK(pin_of(Channel::kAlarm) == Channel{});
  CHECK(pin_of(Channel::kRecipeState) == Channel{});
}

TEST_CASE("pins: a valve that the controller shut in time but its pin late has reacted late") {
  Scenario scenario = bare_scenario();
  scenario.run_limits.permit_reaction_us_max = 1'000;
  const Changes changes{
      {Instant{0}, Channel::kPacedLateMax, 5'000}, {Instant{10}, Channel::kRunPermit, 1},
      {Instant{1'000}, Channel::kValve, 1},        {Instant{1'100}, Channel::kValvePin, 1},
      {Instant{9'000}, Channel::kRunPermit, 0},    {Instant{9'000}, Channel::kValve, 0},
      {Instant{13'000}, Channel::kValvePin, 0}};
  const Finding found =
      finding_of(judged(scenario, {good_row(1)}, changes), "permit_reaction_us_max");
  CHECK(found.outcome == Outcome::kFail);
  CHECK(found.measured == 4'000.0);
}

TEST_CASE("pins: judging the trace of a paced run, late or not, gives the JSON of the run") {
  const Scratch folder;
  put_content(folder / "ten_seconds.yaml", "from: " REPOSITORY_DIR
                                           "/config/scenarios/rotary_steady.yaml\n"
                                           "feed_us: 10000000\nexpect: {containers_min: 40}\n");
  Diagnostics diagnostics;
  const auto loaded = load_scenario(folder / "ten_seconds.yaml", {}, diagnostics);
  REQUIRE(loaded);
  const Scenario& scenario = *loaded;
  for (const Duration oversleep : {0_us, 9_ms}) {
    World world = slow_pins();
    world.oversleep = [&](Instant at) { return at > Instant{6'000'000} ? oversleep : 0_us; };
    const auto file = folder / "paced.trace";
    Recorder recorder(scenario);
    recorder.keep_trace(
        std::make_unique<TraceWriter>(file, scenario.plant.seed, scenario.resolved_text));
    const PacedResult result = run_paced_on(scenario, world, recorder);
    const std::string json = to_json(scenario, recorder.finish(result.end, result.exchanges, ""));
    std::ostringstream out;
    std::ostringstream err;
    judge_command(file.string(), out, err);
    CHECK(err.str().empty());
    CHECK(out.str() == json);
    const auto figures = nlohmann::json::parse(json);
    CHECK(figures["verdict"] == (oversleep > 0_us ? "inconclusive" : "pass"));
    CHECK(figures["paced"]["late_us_worst"] == result.input.worst.raw);
    CHECK(figures["paced"]["pin_us_median"] == 400);
    CHECK(figures["paced"]["late_us_max"] == 5'000);
    CHECK(figures["paced"].size() == 23);
  }
}
