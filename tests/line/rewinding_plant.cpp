#include "plant_model/line/rewinding_plant.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <vector>

#include "tests/line/metre_line.hpp"

using namespace rimebench;
using test::metre_line;
using test::metre_line_queued;
using test::RecordedRun;
using test::ScriptedNode;

namespace {

/// All that can stop a belt or come back to the controller.
PlantSpec wired(PlantSpec spec) {
  spec.feed = 4_s;
  spec.line.controls = {25'000, 50'000, true};
  spec.line.sensor.jitter_sd_us = 200;
  spec.line.valve.feedback_delay_us = 1'500;
  spec.line.gate.confirm_delay_us = 30'000;
  spec.happens.stops = {{Instant{2'000'000}, 500_ms, 300_ms, 300_ms}};
  return spec;
}

/// A shot every tenth of a second, containers taken out, and the permit lost at `lost_us`.
std::vector<SignalChange> outputs_of(std::int64_t lost_us) {
  std::vector<SignalChange> outputs{{Instant{20'000}, Channel::kLinePermit, 1},
                                    {Instant{lost_us}, Channel::kLinePermit, 0},
                                    {Instant{lost_us + 30'000}, Channel::kLinePermit, 1},
                                    {Instant{lost_us + 40'000}, Channel::kLinePermit, 0},
                                    {Instant{2'900'000}, Channel::kReject, 1},
                                    {Instant{3'100'000}, Channel::kReject, 0}};
  for (std::int64_t at = 1'067'683; at < 5'000'000; at += 100'000) {
    outputs.push_back(test::valve(at, true));
    outputs.push_back(test::valve(at + 20'000, false));
  }
  std::sort(outputs.begin(), outputs.end(), canonical_before);
  return outputs;
}

struct Played {
  RecordedRun run;
  std::vector<SignalChange> told;  ///< what the controller consumed
  std::size_t grants{};
};

template <class AnyPlant>
Played played(const PlantSpec& spec, const std::vector<SignalChange>& outputs,
              std::size_t inputs_max = GrantCut::kInputsUsual) {
  Played all;
  AnyPlant plant(spec);
  ScriptedNode node(outputs);
  while (!plant.finished()) {
    const Ahead ahead = plant.next(inputs_max);
    const Reached reached = node.exchange({ahead.until, ahead.feedback, ahead.inputs});
    plant.settle(reached.at, reached.outputs, all.run);
    all.run.result.end = reached.at;
  }
  all.told = node.inputs;
  all.grants = node.feedbacks.size();
  return all;
}

}  // namespace

TEST_CASE("rewinding: a permit lost at any moment stops the line as if nothing had run ahead") {
  for (const PlantSpec& line : {metre_line(), metre_line_queued()}) {
    const PlantSpec spec = wired(line);
    for (std::int64_t lost_us = 100'000; lost_us < 7'000'000; lost_us += 137'311) {
      CAPTURE(lost_us);
      const auto outputs = outputs_of(lost_us);
      const Played expected = played<Plant>(spec, outputs);
      for (const std::size_t inputs_max : {std::size_t{1}, std::size_t{40}, std::size_t{65'536}}) {
        const Played found = played<RewindingPlant>(spec, outputs, inputs_max);
        CHECK(found.run.changes == expected.run.changes);
        CHECK(found.run.rows == expected.run.rows);
        CHECK(found.run.result.end == expected.run.result.end);
        CHECK(found.told == expected.told);
      }
    }
  }
}

TEST_CASE("rewinding: while the permit holds, grants are not cut at the line's reaction time") {
  PlantSpec spec = metre_line();
  spec.line.controls = {25'000, 50'000, false};
  const std::vector<SignalChange> healthy{{Instant{20'000}, Channel::kLinePermit, 1}};
  const Played bounded = played<Plant>(spec, healthy);
  const Played ahead = played<RewindingPlant>(spec, healthy);
  CHECK(ahead.run.changes == bounded.run.changes);
  CHECK(bounded.grants > 100);
  CHECK(ahead.grants < 20);
}

TEST_CASE("rewinding: the controller is told to stop its reaction time after a lost permit") {
  PlantSpec spec = metre_line();
  spec.line.controls.line_stop_reaction_us = 50'000;
  RewindingPlant plant(spec);
  const Ahead ahead = plant.next(GrantCut::kInputsUsual);
  CHECK(ahead.until > Instant{50'000});
  CHECK(ahead.feedback.lookahead == 50_ms);
  CHECK(ahead.feedback.watched.has(Channel::kLinePermit));
  CHECK_FALSE(ahead.feedback.watched.has(Channel::kValve));
}
