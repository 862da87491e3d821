#pragma once

#include <doctest/doctest.h>

#include <vector>

#include "tests/line/metre_line.hpp"

namespace rimebench::test {

/// A shot of 20 ms in the middle of each container from the eighth on.
inline std::vector<SignalChange> shots(std::int64_t last) {
  std::vector<SignalChange> outputs;
  for (std::int64_t n = 8; n <= last; ++n) {
    const std::int64_t at = passes(n, 500'000).us - 32'317;
    outputs.push_back(valve(at, true));
    outputs.push_back(valve(at + 20'000, false));
  }
  return outputs;
}

/// Cut in every way, a run leaves the same behind.
inline void check_cuts(const PlantSpec& spec, const std::vector<SignalChange>& outputs) {
  const auto usual = play(spec, outputs);
  for (const GrantCut& cut :
       {GrantCut{1, false}, GrantCut{7, false}, GrantCut{GrantCut::kInputsAll, false},
        GrantCut{GrantCut::kInputsUsual, true}}) {
    ScriptedNode node(outputs);
    const auto run = record(spec, node, cut);
    CHECK(run.changes == usual.changes);
    CHECK(run.rows == usual.rows);
    CHECK(run.result.end == usual.result.end);
  }
}

}  // namespace rimebench::test
