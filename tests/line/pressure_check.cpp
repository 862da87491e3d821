#include "plant_model/line/pressure_check.hpp"

#include <doctest/doctest.h>

#include <utility>
#include <vector>

#include "plant_model/spec/befell.hpp"
#include "tests/line/cut_runs.hpp"

using namespace rimebench;
using test::metre_line;
using test::passes;
using test::play;

namespace {

/// A shot of 20 ms for every other container from the eighth on.
std::vector<SignalChange> every_other_shot() {
  std::vector<SignalChange> outputs;
  for (std::int64_t n = 8; n <= 40; n += 2) {
    const std::int64_t at = passes(n, 500'000).us - 32'317;
    outputs.push_back(test::valve(at, true));
    outputs.push_back(test::valve(at + 20'000, false));
  }
  return outputs;
}

/// The gate is a metre and a second behind the seam.
PlantSpec checked() {
  PlantSpec spec = metre_line();
  spec.line.pressure_check = PressureCheckSpec{.temperature_c = 4.0,
                                               .sd_kpa = 0.0,
                                               .low_kpa = 5.0,
                                               .high_kpa = 1'000.0,
                                               .misses_ppm = 0,
                                               .delay_us = 40'000,
                                               .ejects = true};
  return spec;
}

}  // namespace

TEST_CASE("pressure check: what was not dosed is soft, is told and is taken out") {
  const auto run = play(checked(), every_other_shot());
  std::size_t soft = 0;
  for (const LedgerRow& row : run.rows) {
    CHECK((row.removed == 1) == (row.shots == 0));
    CHECK(row.flagged == 0);
    if (row.removed == 1) ++soft;
  }
  const auto low = run.of(Channel::kPressureLow);
  REQUIRE(low.size() == 2 * soft);
  CHECK(low[0].at == Instant{run.rows[0].gate_us} + 40_ms);
  CHECK(low[1].at == low[0].at + 5_ms);
  CHECK(run.of(Channel::kPressureHigh).empty());
}

TEST_CASE("pressure check: a second behind the seam it feels a fraction of the final pressure") {
  // At tau 4 s under the lid, 1 - exp(-1/4) = 22 % of the sealed liquid has boiled by then.
  PlantSpec spec = checked();
  const auto run = play(spec, every_other_shot());
  const double prompt_kpa = static_cast<double>(run.rows[9].prompt_pa) / 1000.0;
  spec.line.pressure_check->high_kpa = 0.5 * prompt_kpa;
  for (const LedgerRow& row : play(spec, every_other_shot()).rows) {
    CHECK((row.removed == 1) == (row.shots == 0));
  }
  spec.line.stations.gate_um = 17'000'000;
  spec.feed = 2_s;
  for (const LedgerRow& row : play(spec, every_other_shot()).rows) CHECK(row.removed == 1);
}

TEST_CASE("pressure check: it has errors of its own") {
  PlantSpec spec = checked();
  spec.line.pressure_check->misses_ppm = 1'000'000;
  for (const LedgerRow& row : play(spec, every_other_shot()).rows) CHECK(row.removed == 0);

  spec.line.pressure_check->misses_ppm = 0;
  spec.line.pressure_check->sd_kpa = 60.0;
  std::int64_t soft_kept = 0;
  std::int64_t good_taken = 0;
  for (const LedgerRow& row : play(spec, every_other_shot()).rows) {
    if (row.shots == 0 && row.removed == 0) ++soft_kept;
    if (row.shots == 1 && row.removed == 1) ++good_taken;
  }
  CHECK(soft_kept > 0);
  CHECK(good_taken > 0);
}

TEST_CASE("pressure check: one that only tells takes nothing out, however the run is cut") {
  PlantSpec spec = checked();
  spec.line.pressure_check->ejects = false;
  const auto usual = play(spec, every_other_shot());
  for (const LedgerRow& row : usual.rows) CHECK(row.removed == 0);
  for (const GrantCut& cut :
       {GrantCut{1, false}, GrantCut{GrantCut::kInputsAll, false}, GrantCut{256, true}}) {
    test::ScriptedNode node(every_other_shot());
    const auto run = test::record(spec, node, cut);
    CHECK(run.changes == usual.changes);
    CHECK(run.rows == usual.rows);
  }
}

TEST_CASE("pressure check: a station of its own takes what it read, a belt's metre of time later") {
  // It stands 400 mm, 400 ms at 1 m/s, before the gate; the others pass 100 ms before and behind.
  PlantSpec spec = checked();
  spec.line.pressure_check->at_um = 1'600'000;
  spec.line.pressure_check->strikes_after_us = 400'000;
  spec.line.pressure_check->strikes_for_us = 60'000;
  const auto removed = [](const test::RecordedRun& run) {
    std::int64_t soft = 0;
    std::int64_t good = 0;
    for (const LedgerRow& row : run.rows) {
      if (row.container < 8 || row.container > 38) continue;  // the line at its speed
      CHECK(has_befallen(row.befell, Befell::kPressureEjected) == (row.removed == 1));
      (row.shots == 0 ? soft : good) += row.removed;
    }
    return std::pair{soft, good};
  };
  const auto run = play(spec, every_other_shot());
  CHECK(removed(run) == std::pair<std::int64_t, std::int64_t>{15, 0});
  CHECK(run.of(Channel::kPressureLow)[0].at < Instant{run.rows[0].gate_us});  // told as it is read
  // A tenth of a second too late, and it takes the neighbour.
  spec.line.pressure_check->strikes_after_us = 500'000;
  const auto late = removed(play(spec, every_other_shot()));
  CHECK(late.first == 0);
  CHECK(late.second >= 14);
}

TEST_CASE("pressure check: a station of its own does the same however the run is cut") {
  PlantSpec spec = checked();
  spec.line.pressure_check->at_um = 1'600'000;
  spec.line.pressure_check->strikes_after_us = 400'000;
  spec.line.pressure_check->strikes_for_us = 60'000;
  test::check_cuts(spec, every_other_shot());
}
