#include "plant_model/line/supply_wires.hpp"

#include <doctest/doctest.h>

#include "tests/line/cut_runs.hpp"
#include "tests/line/metre_supply.hpp"

using namespace rimebench;
using test::check_cuts;
using test::metre_line;
using test::metre_supply;
using test::passes;
using test::play;

namespace {

PlantSpec supplied() {
  PlantSpec spec = metre_line();
  spec.line.supply = metre_supply();
  return spec;
}

SignalChange output(std::int64_t at_us, Channel channel, std::int32_t value) {
  return {Instant{at_us}, channel, value};
}

/// Opens the isolation valve, and gives every container from the eighth on a shot of 20 ms.
std::vector<SignalChange> isolation_and_shots(std::int64_t last) {
  std::vector<SignalChange> outputs{output(5'000, Channel::kSupplyIsolation, 1)};
  for (std::int64_t n = 8; n <= last; ++n) {
    const std::int64_t at = passes(n, 500'000).us - 32'317;
    outputs.push_back(test::valve(at, true));
    outputs.push_back(test::valve(at + 20'000, false));
  }
  return outputs;
}

}  // namespace

TEST_CASE(
    "supply wires: a sample comes its delay after its period, once it has moved by its step") {
  PlantSpec spec = supplied();
  spec.line.supply->start_um = 100'000;
  const auto run = play(spec, {output(5'000, Channel::kSupplyIsolation, 1)});
  const auto levels = run.of(Channel::kSupplyLevel);
  REQUIRE(levels.size() > 4);
  CHECK(levels[0] == output(100'000, Channel::kSupplyLevel, 100'000));
  for (std::size_t i = 1; i < levels.size(); ++i) {
    CHECK((levels[i].at.us - 100'000) % 1'000'000 == 0);
    CHECK(levels[i].value - levels[i - 1].value >= 1'000);
  }
  // 5 g/s into 50 cm2, less what 20 W boil: 1.2158 mm/s.
  CHECK(levels.back().value - levels[1].value ==
        doctest::Approx(1'215.8 * static_cast<double>(levels.size() - 2)).epsilon(0.01));
}

TEST_CASE("supply wires: a sample that has not moved by its step is not sent") {
  PlantSpec spec = supplied();
  spec.line.supply->level_step_um = 50'000;
  const auto run = play(spec, isolation_and_shots(40));
  CHECK(run.of(Channel::kSupplyLevel).size() == 1);
  CHECK(run.of(Channel::kSupplyPressure).empty());
}

TEST_CASE("supply wires: supply ready rises with the bath, not with the power") {
  PlantSpec spec = supplied();
  spec.line.supply->start_um = 200'000;
  spec.line.supply->ready_um = 203'000;
  const auto run = play(spec, {output(5'000, Channel::kSupplyIsolation, 1)});
  const auto ready = run.of(Channel::kSupplyReady);
  REQUIRE(ready.size() == 1);
  CHECK(ready[0] == output(3'100'000, Channel::kSupplyReady, 1));
  const auto powered = play(supplied(), {}).of(Channel::kSupplyReady);
  REQUIRE(powered.size() == 1);
  CHECK(powered[0].at == Instant{1'000});
}

TEST_CASE("supply wires: how a run is cut into grants changes no sample and no dose") {
  PlantSpec spec = supplied();
  spec.line.supply->start_um = 228'000;
  spec.line.supply->sample_us = 130'000;
  spec.line.supply->sample_delay_us = 7;
  spec.line.supply->level_step_um = 1;
  spec.line.supply->body_step_mk = 1;
  spec.line.room = RoomAirSpec{300.0, 2.0, 1.0, 15.0, 170'000, 90'000, 1};
  spec.line.valve.feedback_delay_us = 1'500;
  spec.happens.supply.hose_leaks = {{Instant{2'000'000}, 3_s, 80.0}};
  const auto outputs = isolation_and_shots(40);
  const auto usual = play(spec, outputs);
  CHECK(usual.of(Channel::kRoomOxygen).size() > 10);
  CHECK(usual.of(Channel::kSupplyLevel).size() > 20);
  check_cuts(spec, outputs);
}

TEST_CASE("supply wires: a line without liquid gives no dose, whatever the valve does") {
  PlantSpec spec = supplied();
  spec.line.supply->start_um = 0;
  spec.line.supply->vessel_l = 0.0;
  const auto run = play(spec, isolation_and_shots(30));
  for (const LedgerRow& row : run.rows) CHECK(row.landed_ug == 0);
}
