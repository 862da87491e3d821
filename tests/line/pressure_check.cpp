#include "plant_model/line/pressure_check.hpp"

#include <doctest/doctest.h>

#include <vector>

#include "tests/line/metre_line.hpp"

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
