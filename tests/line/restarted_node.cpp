#include "harness/session/restarted_node.hpp"

#include <doctest/doctest.h>

#include "firmware_sim/contract/fault.hpp"
#include "plant_model/spec/befell.hpp"
#include "tests/line/metre_line.hpp"
#include "tests/support/scripted_node.hpp"

using namespace rimebench;
using test::metre_line;

namespace {

/// A controller that shows what it is told: reject follows the sensor, the alarm counts the inputs
/// since it came up. It takes part in whatever the grants are.
class Echo final : public Node {
 public:
  Reached exchange(const Grant& grant) override {
    outputs_.clear();
    for (const SignalChange& input : grant.inputs) {
      if (input.at >= grant.until) break;
      if (input.channel != Channel::kContainerSensor) continue;
      outputs_.push_back({input.at, Channel::kReject, input.value});
      outputs_.push_back({input.at, counter_channel(Counter{}), ++seen_});
    }
    return {grant.until, outputs_};
  }
  std::size_t capacity() const override { return 100'000; }
  void restart(Instant) override { seen_ = 0; }

 private:
  std::vector<SignalChange> outputs_;
  std::int32_t seen_ = 0;
};

std::vector<SignalChange> restarted(const GrantCut& cut) {
  PlantSpec spec = metre_line();
  spec.happens.core_restart = CoreRestart{Instant{2'010'000}, 700_ms};
  Echo node;
  return test::record(spec, node, cut).changes;
}

}  // namespace

TEST_CASE("restart: its wires drop in that microsecond, a fresh one is told what then is") {
  const std::vector<SignalChange> changes = restarted({});
  std::int32_t sensor = 0;
  std::int32_t reject = 0;
  std::int32_t count = 0;
  std::int32_t edges = 0;
  for (const SignalChange& change : changes) {
    const bool off = change.at >= Instant{2'010'000} && change.at < Instant{2'710'000};
    if (change.channel == Channel::kContainerSensor) {
      sensor = change.value;
      edges += off ? 0 : 1;
    }
    if (change.channel == Channel::kReject) {
      reject = change.value;
      if (off) CHECK(change == SignalChange{Instant{2'010'000}, Channel::kReject, 0});
    }
    if (change.channel == counter_channel(Counter{})) {
      CHECK(change.value == count + 1);  // the line's host adds up
      count = change.value;
    }
  }
  CHECK(count > 4);
  CHECK(reject == sensor);
  CHECK(count >= edges);
}

TEST_CASE("restart: how a run is cut into grants does not change what the fresh one is told") {
  const std::vector<SignalChange> usual = restarted({});
  for (const GrantCut& cut : {GrantCut{1, false}, GrantCut{7, false}, GrantCut{256, true}}) {
    CHECK(restarted(cut) == usual);
  }
}

TEST_CASE("restart: a node that the bench cannot restart ends the run, and says why") {
  PlantSpec spec = metre_line();
  spec.happens.core_restart = CoreRestart{Instant{2'010'000}, 700_ms};
  test::ScriptedNode node(std::vector<SignalChange>{});
  CHECK_THROWS_WITH_AS(test::record(spec, node, {}),
                       "this node cannot be restarted; last good simulated time 2710000 us",
                       LinkError);
}

TEST_CASE("restart: what is between sensor and gate then, and comes until the start, is marked") {
  PlantSpec spec = metre_line();
  spec.happens.core_restart = CoreRestart{Instant{2'010'000}, 700_ms};
  spec.happens.operator_acts = {{Instant{1'000'000}, Button::kStart, 0},
                                {Instant{3'000'000}, Button::kStart, 0}};
  Echo node;
  const auto run = test::record(spec, node, {});
  int marked = 0;
  for (const LedgerRow& row : run.rows) {
    const bool down = has_befallen(row.befell, Befell::kControllerDown);
    if (row.sensor_us >= 2'010'000) CHECK(down == (row.sensor_us < 3'000'000));
    if (row.gate_us < 2'010'000) CHECK_FALSE(down);
    marked += down;
  }
  CHECK(marked > 2);
  CHECK(marked < static_cast<int>(run.rows.size()));
}
