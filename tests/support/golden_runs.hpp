#pragma once

#include <doctest/doctest.h>

#include <fstream>
#include <iomanip>
#include <sstream>
#include <string>
#include <vector>

#include "harness/cli/inproc_node.hpp"
#include "harness/config/load.hpp"
#include "tests/support/recorded_run.hpp"

namespace rimebench::test {

/// A scenario of config/scenarios, its feed cut to `feed_us` where that is not 0.
inline PlantSpec plant_of(const std::string& scenario, std::int64_t feed_us = 0) {
  Diagnostics diagnostics;
  const std::string path = std::string(REPOSITORY_DIR) + "/config/scenarios/" + scenario + ".yaml";
  const auto loaded = load_scenario(path, {}, diagnostics);
  for (const Diagnostic& diagnostic : diagnostics) MESSAGE(to_text(diagnostic));
  REQUIRE(loaded);
  PlantSpec spec = loaded->plant;
  if (feed_us > 0) spec.feed = Duration{feed_us};
  return spec;
}

/// The controller in process.
inline RecordedRun run_inproc(const PlantSpec& spec, const GrantCut& cut = {}) {
  InprocNode node;
  return record(spec, node, cut);
}

/// One line of a golden_digests.txt: scenario, feed in us, digest, signal changes, end in us.
struct GoldenRun {
  std::string scenario;
  std::int64_t feed_us{};
  RunProof proof;
};

inline std::vector<GoldenRun> read_golden(const std::string& path) {
  std::ifstream file(std::string(REPOSITORY_DIR) + "/" + path);
  REQUIRE(file);
  std::vector<GoldenRun> runs;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line.front() == '#') continue;
    std::istringstream words(line);
    GoldenRun run;
    words >> run.scenario >> run.feed_us >> std::hex >> run.proof.digest >> std::dec >>
        run.proof.changes >> run.proof.end.us;
    REQUIRE(words);
    runs.push_back(run);
  }
  return runs;
}

inline std::string to_line(const GoldenRun& run) {
  std::ostringstream line;
  line << run.scenario << ' ' << run.feed_us << ' ' << std::hex << std::setfill('0')
       << std::setw(16) << run.proof.digest << std::dec << ' ' << run.proof.changes << ' '
       << run.proof.end.us;
  return line.str();
}

/// Checks a run against its line; the message is the line as it would have to be.
inline void check_golden(const GoldenRun& golden, const RunProof& proof) {
  INFO("now: " << to_line({golden.scenario, golden.feed_us, proof}));
  CHECK(proof == golden.proof);
}

}  // namespace rimebench::test
