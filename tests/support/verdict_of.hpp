#pragma once

#include "harness/campaign/recorder.hpp"
#include "harness/cli/node_option.hpp"
#include "harness/session/lockstep.hpp"

namespace rimebench::test {

/// What the judge says of a scenario with the controller in process.
inline Verdict verdict_of(const Scenario& scenario) {
  Recorder recorder(scenario);
  LockstepResult result;
  std::string lost;
  try {
    const auto node = open_node("inproc", scenario.plant.happens);
    run_lockstep(scenario.plant, *node, {}, recorder, result);
  } catch (const LinkError& error) {
    lost = error.what();
  }
  return recorder.finish(result.end, result.exchanges, lost);
}

}  // namespace rimebench::test
