#pragma once

#include <limits>
#include <string>
#include <vector>

#include "harness/judge/judge.hpp"

namespace rimebench {

/// A scenario that sets no limit but "no escapes".
inline Scenario bare_scenario() {
  Scenario scenario;
  scenario.name = "hand_made";
  scenario.title = "made by hand";
  return scenario;
}

/// The same on a line with pulses, so that a controller can tell where a container is.
inline Scenario wired_scenario() {
  Scenario scenario = bare_scenario();
  scenario.plant.line.controls.line_pulse_pitch_um = 20'000;
  return scenario;
}

/// A container that is right in every respect and went past the gate `container` seconds in.
inline LedgerRow good_row(std::int64_t container) {
  LedgerRow row;
  row.container = container;
  row.place = 1 + (container - 1) % 4;
  row.landing_us = container * 1'000'000 - 3'000'000 + 10'000'000;
  row.seam_us = row.landing_us + 1'000'000;
  row.gate_us = row.landing_us + 3'000'000;
  row.shots = 1;
  row.captured_ppm = 1'000'000;
  row.nozzle_ug = 80'000;
  row.equilibrium_pa = 207'000;
  row.hot_prompt_pa = 400'000;
  row.oxygen_ppm = 5'000;
  row.wait_us = 1'000'000;
  return row;
}

inline LedgerRow bad_row(std::int64_t container, Cause cause) {
  LedgerRow row = good_row(container);
  row.bad = 1;
  row.cause = static_cast<std::int64_t>(cause);
  return row;
}

inline LedgerRow removed(LedgerRow row) {
  row.flagged = row.removed = 1;
  return row;
}

using Changes = std::vector<SignalChange>;
using Rows = std::vector<LedgerRow>;

inline Verdict judged(const Scenario& scenario, const Rows& rows, const Changes& changes = {},
                      const std::string& lost = "") {
  Judge judge(scenario);
  for (const SignalChange& change : changes) judge.on_change(change);
  for (const LedgerRow& row : rows) judge.on_row(row);
  return judge.finish({0x1234, changes.size(), 7, Instant{600'000'000}, lost});
}

/// The finding of this name; one that says "missing" where there is none.
inline Finding finding_of(const Verdict& verdict, const std::string& name) {
  for (const Finding& finding : verdict.findings) {
    if (finding.name == name) return finding;
  }
  return {.name = "missing"};
}

}  // namespace rimebench
