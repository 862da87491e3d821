#pragma once

/// Ten seconds of the steady rotary line, paced, in a simulated world.

#include <doctest/doctest.h>

#include <memory>
#include <vector>

#include "firmware_sim/core/dose_controller.hpp"
#include "harness/campaign/recorder.hpp"
#include "harness/config/load.hpp"
#include "harness/session/paced.hpp"
#include "tests/paced/simulated_wire.hpp"

namespace rimebench::test {

/// All that a run leaves behind.
class Kept final : public RunSink {
 public:
  void on_change(const SignalChange& change) override { changes.push_back(change); }
  void on_row(const LedgerRow& row) override { rows.push_back(row); }

  std::vector<SignalChange> of(Channel channel) const {
    std::vector<SignalChange> found;
    for (const SignalChange& change : changes) {
      if (change.channel == channel) found.push_back(change);
    }
    return found;
  }

  std::vector<SignalChange> changes;
  std::vector<LedgerRow> rows;
};

inline Scenario steady() {
  ScenarioOverrides overrides;
  Diagnostics diagnostics;
  auto scenario =
      load_scenario(REPOSITORY_DIR "/config/scenarios/rotary_steady.yaml", overrides, diagnostics);
  REQUIRE(scenario);
  scenario->plant.feed = 10_s;
  return *scenario;
}

inline PacedResult run_paced_on(const Scenario& scenario, const World& world, RunSink& sink) {
  PacedResult result;
  PacedNode node(std::make_unique<SimulatedWire<DoseController>>(world));
  run_paced(scenario.plant, node, {.late_max = world.late_max}, sink, result);
  return result;
}

/// Why a run of the steady line was lost, or "nothing".
inline std::string loss(const World& world) {
  Kept kept;
  try {
    run_paced_on(steady(), world, kept);
  } catch (const LinkError& error) {
    return error.what();
  }
  return "nothing";
}

}  // namespace rimebench::test
