/// What a report keeps of a run, against what its trace says.

#include <doctest/doctest.h>

#include <algorithm>
#include <memory>

#include "harness/campaign/recorder.hpp"
#include "harness/cli/container_timing.hpp"
#include "harness/cli/inproc_node.hpp"
#include "harness/config/load.hpp"
#include "harness/dossier/run_log.hpp"
#include "harness/session/lockstep.hpp"
#include "tests/trace/scratch.hpp"

using namespace rimebench;

namespace {

Scenario scenario_of(const std::string& name, std::int64_t feed_us) {
  Diagnostics diagnostics;
  auto loaded =
      load_scenario(REPOSITORY_DIR "/config/scenarios/" + name + ".yaml", {}, diagnostics);
  REQUIRE(loaded);
  loaded->plant.feed = Duration{feed_us};
  return *loaded;
}

/// A run that is heard by a log, and kept as a trace where one is named.
Instant run_into(RunLog& log, const Scenario& scenario, const std::string& trace = {}) {
  InprocNode node;
  Recorder recorder(scenario);
  if (!trace.empty()) {
    recorder.keep_trace(
        std::make_unique<TraceWriter>(trace, scenario.plant.seed, scenario.resolved_text));
  }
  recorder.tell_too(log);
  LockstepResult result;
  run_lockstep(scenario.plant, node, {}, recorder, result);
  recorder.finish(result.end, result.exchanges, {});
  log.finish();
  return result.end;
}

const NamedLane* lane_of(const LanesBlock& block, const std::string& name) {
  const auto found = std::ranges::find(block.lanes, name, &NamedLane::name);
  return found == block.lanes.end() ? nullptr : &*found;
}

}  // namespace

TEST_CASE("run log: a picture drawn as the container passes is the one drawn from its trace") {
  for (const char* name : {"inline_no_ramp", "stop_restart", "touching_cans"}) {
    CAPTURE(name);
    const Scratch folder;
    const Scenario scenario = scenario_of(name, 150'000'000);
    const std::string trace = (folder / "run.trace").string();
    RunLog log(scenario);
    run_into(log, scenario, trace);
    const TimingBlock block = log.pictures().finish();
    REQUIRE(block.pictures.size() > 20);
    for (std::size_t i = 0; i < block.pictures.size(); i += 5) {
      const ContainerPicture& one = block.pictures[i];
      CAPTURE(one.container);
      std::string problem;
      const auto from_trace = container_timing(trace, one.container, problem);
      REQUIRE(from_trace);
      CHECK(to_svg(one.picture) == to_svg(*from_trace));
      CHECK(to_lanes(one.picture) == to_lanes(*from_trace));
    }
  }
}

TEST_CASE("picture: a shot that falls while the next is fired is still its own container's") {
  Scenario scenario = scenario_of("rotary_steady", 20'000'000);
  scenario.plant.speed = {{Instant{}, 600.0}};
  scenario.plant.line.nozzle.height_um = 150'000;
  scenario.plant.line.nozzle.jet_speed_um_per_s = 10'000;
  const Duration fall = fall_to_drink(scenario.plant.line.nozzle, scenario.plant.product);
  REQUIRE(fall > 150_ms);
  scenario.plant.recipe.set(Parameter::kFlightUs, static_cast<std::int32_t>(fall.raw));
  RunLog log(scenario);
  run_into(log, scenario);
  const TimingBlock block = log.pictures().finish();
  REQUIRE(block.pictures.size() > 10);
  for (const ContainerPicture& one : block.pictures) {
    CAPTURE(one.container);
    REQUIRE(one.picture.has_shot());
    const auto own = [&](LaneKind kind) {
      const auto lane = std::ranges::find(one.picture.lanes, kind, &TimingLane::kind);
      const auto stretch = std::ranges::find(lane->stretches, true, &Stretch::own);
      REQUIRE(stretch != lane->stretches.end());
      return stretch->time;
    };
    const TimeSpan valve = own(LaneKind::kValve);
    const TimeSpan landing = own(LaneKind::kLanding);
    CHECK(landing.until - valve.until == fall);
    CHECK((landing.from - valve.from - fall).raw <= 1);
    CHECK((landing.from - valve.from - fall).raw >= -1);
  }
}

TEST_CASE(
    "run log: a line stop stands among the lanes when it was, and the disturbance met there") {
  const Scenario scenario = scenario_of("stop_restart", 120'000'000);
  REQUIRE(!scenario.plant.happens.stops.empty());
  const LineStop stop = scenario.plant.happens.stops.front();
  RunLog log(scenario);
  const LanesBlock lanes = log.lanes().finish(run_into(log, scenario));
  CHECK(lane_of(lanes, "filler running") == nullptr);  // not wired on this line
  const LanesBlock after = log.lanes().finish(Instant{200'000'000});
  const NamedLane* const permit = lane_of(after, "run permit");
  REQUIRE(permit != nullptr);
  CHECK(permit->spans.front().from == stop.at);
  CHECK(permit->spans.front().until == stop.at + stop.lasts);
  const NamedLane* const met = lane_of(after, "stop");
  REQUIRE(met != nullptr);
  CHECK(met->spans.front().from <= stop.at);
  CHECK(met->spans.front().until >= stop.at);
  REQUIRE(lane_of(after, "mode") != nullptr);
}

TEST_CASE("run log: a sample of containers is even over the run and stays within its bound") {
  PictureChoice choice([](const LedgerRow&) { return TimingPicture{}; });
  for (std::int64_t n = 1; n <= 100'000; ++n) {
    LedgerRow row;
    row.container = n;
    row.place = 1;
    row.seam_us = n;
    choice.on_row(row);
  }
  const TimingBlock block = choice.finish();
  REQUIRE(block.pictures.size() >= 12);
  REQUIRE(block.pictures.size() <= 24);
  const std::int64_t stride = block.pictures[1].container - block.pictures[0].container;
  for (std::size_t i = 1; i < block.pictures.size(); ++i) {
    CHECK(block.pictures[i].container - block.pictures[i - 1].container == stride);
  }
  CHECK(block.pictures.back().container > 100'000 - stride);
}
