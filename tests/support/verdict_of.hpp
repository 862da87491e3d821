#pragma once

#include "harness/campaign/recorder.hpp"
#include "harness/cli/inproc_node.hpp"
#include "harness/session/lockstep.hpp"

namespace rimebench::test {

/// What the judge says of a scenario with the controller in process.
inline Verdict verdict_of(const Scenario& scenario) {
  Recorder recorder(scenario);
  InprocNode node;
  LockstepResult result;
  run_lockstep(scenario.plant, node, {}, recorder, result);
  return recorder.finish(result.end, result.exchanges, "");
}

}  // namespace rimebench::test
