#pragma once

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "harness/audit/audit.hpp"
#include "harness/cli/captured_file.hpp"
#include "harness/cli/inproc_node.hpp"
#include "harness/config/load.hpp"
#include "harness/trace/vcd_writer.hpp"
#include "tests/support/recorded_run.hpp"
#include "tests/trace/scratch.hpp"

namespace rimebench::test {

/// A line whose latencies are known, and what an analyser on its wires would have seen.
struct CapturedRun {
  PlantSpec spec;
  std::vector<SignalChange> wires;
  Instant end;
  std::vector<LedgerRow> rows;

  std::vector<SignalChange> of(Channel channel) const {
    std::vector<SignalChange> found;
    for (const SignalChange& change : wires) {
      if (change.channel == channel) found.push_back(change);
    }
    return found;
  }
  /// Takes these changes out.
  void erase(const std::vector<SignalChange>& gone) {
    std::erase_if(wires, [&](const SignalChange& change) {
      return std::find(gone.begin(), gone.end(), change) != gone.end();
    });
  }
  /// Puts a shot in, with the valve's movements.
  void shoot(Instant at, Duration length) {
    const Duration open{spec.line.valve.open_delay_us}, close{spec.line.valve.close_delay_us};
    for (const SignalChange& change :
         {SignalChange{at, Channel::kValve, 1}, SignalChange{at + length, Channel::kValve, 0},
          SignalChange{at + open, Channel::kValveActual, 1},
          SignalChange{at + length + close, Channel::kValveActual, 0}}) {
      wires.push_back(change);
    }
    std::sort(wires.begin(), wires.end(), canonical_before);
  }
  /// Only what happened in between, times as they were.
  void cut(Instant from, Instant to) {
    std::erase_if(wires, [&](const SignalChange& c) { return c.at < from || c.at > to; });
    end = to;
  }
};

inline PlantSpec ramping_line(std::uint64_t seed, std::int64_t feed_us) {
  Diagnostics diagnostics;
  const auto scenario =
      load_scenario(REPOSITORY_DIR "/config/scenarios/speed_ramp.yaml", {seed, {}}, diagnostics);
  REQUIRE(scenario);
  PlantSpec spec = scenario->plant;
  spec.feed = Duration{feed_us};
  spec.speed = {{Instant{0}, 300.0},
                {Instant{feed_us / 4}, 300.0},
                {Instant{feed_us / 2}, 600.0},
                {Instant{feed_us}, 450.0}};
  return spec;
}

/// Runs the line and keeps its wires; recipe, modes and counters are on none.
template <class OfNode>
CapturedRun capture(const PlantSpec& spec, OfNode& node) {
  CapturedRun captured{spec, {}, {}, {}};
  const RecordedRun run = record(spec, node);
  for (const SignalChange& change : run.changes) {
    const bool output =
        Channel::kValve <= change.channel && change.channel <= Channel::kSupplyIsolation;
    const bool wire = number(change.channel) < number(Channel::kRecipeFirst) || output ||
                      change.channel == Channel::kValveActual;
    if (wire) captured.wires.push_back(change);
  }
  captured.end = run.result.end;
  captured.rows = run.rows;
  return captured;
}

inline CapturedRun capture(const PlantSpec& spec) {
  InprocNode node;
  return capture(spec, node);
}

/// Through a dump on disk, as a user would bring it.
inline CapturedLine through_dump(const CapturedRun& run,
                                 const std::vector<std::string>& wires = {}) {
  const Scratch folder;
  VcdWriter writer(folder / "wires.vcd", true);
  for (const SignalChange& change : run.wires) writer.add(change);
  writer.close(run.end);
  CaptureOptions options;
  std::string problem;
  for (const std::string& wire : wires) options.wires.push_back(*parse_wire(wire, problem));
  return load_captured_line((folder / "wires.vcd").string(), options);
}

inline AuditReport audited(const CapturedLine& line, const PlantSpec& spec) {
  InprocNode node;
  return audit(line, {spec.line, spec.recipe}, node);
}

inline bool has(const AuditReport& report, AuditReason reason) {
  return std::find(report.reasons.begin(), report.reasons.end(), reason) != report.reasons.end();
}

}  // namespace rimebench::test
