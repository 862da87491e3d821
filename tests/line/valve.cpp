#include "plant_model/line/valve.hpp"

#include <doctest/doctest.h>

#include <vector>

#include "plant_model/spec/befell.hpp"
#include "tests/line/cut_runs.hpp"

using namespace rimebench;
using test::check_cuts;
using test::metre_line;
using test::passes;
using test::play;
using test::shots;

namespace {

constexpr Duration kWeek{604'800'000'000};

PlantSpec with(const ValveTrouble& trouble) {
  PlantSpec spec = metre_line();
  spec.line.valve.feedback_delay_us = 1'500;
  spec.happens.valve = {trouble};
  return spec;
}

}  // namespace

TEST_CASE("valve: a slow one opens and closes later, more and more until it has grown") {
  // From 2.0 s on, within 2 s, 4 ms later to open and 2 ms later to close.
  ValveTrouble slow{ValveTroubleKind::kSlow, Instant{2'000'000}, kWeek};
  slow.opens_later = 4'000_us;
  slow.closes_later = 2'000_us;
  slow.grows = 2_s;
  const std::vector<SignalChange> outputs{
      test::valve(1'000'000, true),  test::valve(1'020'000, false), test::valve(3'000'000, true),
      test::valve(3'020'000, false), test::valve(4'500'000, true),  test::valve(4'520'000, false)};
  const auto moves = play(with(slow), outputs).of(Channel::kValveActual);
  REQUIRE(moves.size() == 6);
  CHECK(moves[0].at == Instant{1'008'000});
  CHECK(moves[1].at == Instant{1'026'000});
  CHECK(moves[2].at == Instant{3'010'000});
  CHECK(moves[3].at == Instant{3'027'020});
  CHECK(moves[4].at == Instant{4'512'000});
  CHECK(moves[5].at == Instant{4'528'000});
}

TEST_CASE("valve: one that sticks shut gives no shot and no feedback, for that share of shots") {
  ValveTrouble sticks{ValveTroubleKind::kSticksShut, Instant{0}, kWeek};
  sticks.share_ppm = 1'000'000;
  const auto all = play(with(sticks), shots(40));
  CHECK(all.of(Channel::kValveActual).empty());
  CHECK(all.of(Channel::kValveFeedback).empty());
  for (const LedgerRow& row : all.rows) CHECK(row.landed_ug == 0);

  sticks.share_ppm = 400'000;
  const auto some = play(with(sticks), shots(40));
  const std::size_t opened = some.of(Channel::kValveActual).size() / 2;
  CHECK(opened > 10);
  CHECK(opened < 30);
  CHECK(some.of(Channel::kValveFeedback).size() == 2 * opened);
  check_cuts(with(sticks), shots(40));
}

TEST_CASE("valve: one that sticks open for 10 ms passes half as much again") {
  ValveTrouble sticks{ValveTroubleKind::kSticksOpen, Instant{0}, kWeek};
  sticks.share_ppm = 1'000'000;
  sticks.late = 9_ms;
  const auto run = play(with(sticks), shots(12));
  // 20 ms commanded, 18 ms open; 9 ms more.
  CHECK(run.rows[8].nozzle_ug == 3'500 * 27);
  CHECK(run.rows[8].shots == 1);
}

TEST_CASE("valve: one that fails open pours on whatever is commanded, and then obeys again") {
  ValveTrouble fails{ValveTroubleKind::kFailsOpen, Instant{2'500'000}, 600_ms};
  const auto run = play(with(fails), shots(40));
  const auto moves = run.of(Channel::kValveActual);
  std::vector<SignalChange> inside;
  for (const SignalChange& move : moves) {
    if (move.at >= Instant{2'470'000} && move.at < Instant{3'150'000}) inside.push_back(move);
  }
  for (const SignalChange& move : inside) {
    CHECK((move.value == 1 || move.at < Instant{2'500'000} || move.at >= Instant{3'100'000}));
  }
  // 100 mm apart at 1 m/s: each opening of 50 mm gets half of what pours in 100 ms.
  const LedgerRow& flooded = run.rows[19];
  CHECK(flooded.landed_ug > run.rows[7].landed_ug * 18 / 10);
  CHECK(run.rows[38].landed_ug == run.rows[7].landed_ug);
  check_cuts(with(fails), shots(40));
}

TEST_CASE("valve: uncommanded liquid is no shot, but the container has it") {
  ValveTrouble fails{ValveTroubleKind::kFailsOpen, Instant{2'500'000}, 600_ms};
  const auto run = play(with(fails), {});
  std::int64_t wet = 0;
  for (const LedgerRow& row : run.rows) {
    CHECK(row.shots == 0);
    if (row.landed_ug > 0) ++wet;
    CHECK(has_befallen(row.befell, Befell::kStrayLiquid) == (row.landed_ug > 0));
  }
  CHECK(wet >= 6);
  CHECK(run.of(Channel::kLanding).empty());
}

TEST_CASE("valve: a leak drips into every container that passes, and fills one that stands") {
  ValveTrouble leaks{ValveTroubleKind::kLeaks, Instant{0}, kWeek};
  leaks.leak_mg_per_s = 200.0;
  PlantSpec spec = with(leaks);
  const auto moving = play(spec, {});
  // An opening of 50 mm is under the jet for 50 ms; what enters it in the last 6.4 ms meets the
  // wall before it reaches the drink, 15 mm lower.
  for (std::size_t n = 10; n < 30; ++n) {
    CHECK(static_cast<double>(moving.rows[n].landed_ug) ==
          doctest::Approx(200.0 * 43.6 * 0.941094).epsilon(0.01));
  }
  spec.happens.stops = {{Instant{2'105'000}, 4_s, 0_s, 0_s}};
  const auto stopped = play(spec, {});
  std::int64_t most = 0;
  for (const LedgerRow& row : stopped.rows) most = std::max(most, row.landed_ug);
  CHECK(static_cast<double>(most) == doctest::Approx(800'000.0 * 0.941094).epsilon(0.05));
  check_cuts(spec, shots(30));
}

TEST_CASE("valve: while it is open it does not leak besides") {
  ValveTrouble leaks{ValveTroubleKind::kLeaks, Instant{0}, Duration{50'000'000}};
  leaks.leak_mg_per_s = 0.01;
  const auto run = play(with(leaks), shots(20));
  CHECK(run.rows[9].nozzle_ug == doctest::Approx(63'000.0).epsilon(1e-4));
  CHECK(run.rows[9].shots == 1);
}

TEST_CASE("valve: ice leaves a share of the flow, and drift grows to its full size") {
  ValveTrouble iced{ValveTroubleKind::kIced, Instant{0}, 2_s};
  iced.flow_percent = 40.0;
  const auto frozen = play(with(iced), shots(40));
  CHECK(frozen.rows[7].nozzle_ug == 25'200);
  CHECK(frozen.rows[29].nozzle_ug == 63'000);

  ValveTrouble drifts{ValveTroubleKind::kDrifts, Instant{1'000'000}, kWeek};
  drifts.flow_percent = -20.0;
  drifts.grows = 2_s;
  const auto drifted = play(with(drifts), shots(40));
  CHECK(drifted.rows[39].nozzle_ug == 50'400);
  CHECK(drifted.rows[13].nozzle_ug < 63'000);
  CHECK(drifted.rows[13].nozzle_ug > 50'400);
}

TEST_CASE("valve: a deflected jet misses the opening at first and finds it later") {
  ValveTrouble deflected{ValveTroubleKind::kDeflected, Instant{0}, 4_s};
  deflected.lateral_um = 50'000;
  const auto run = play(with(deflected), shots(40));
  CHECK(run.rows[7].captured_ppm == 0);
  CHECK(has_befallen(run.rows[7].befell, Befell::kValveTrouble));
  CHECK(run.rows[39].captured_ppm == 1'000'000);
}

TEST_CASE("valve: the container that a stuck opening was meant for has met the trouble, no other") {
  ValveTrouble sticks{ValveTroubleKind::kSticksShut, Instant{2'000'000}, 1_s};
  sticks.share_ppm = 1'000'000;
  const auto run = play(with(sticks), shots(40));
  int missed = 0;
  for (const LedgerRow& row : run.rows) {
    if (row.container < 8 || row.container > 40) continue;
    CHECK(has_befallen(row.befell, Befell::kValveTrouble) == (row.shots == 0));
    missed += row.shots == 0 ? 1 : 0;
  }
  CHECK(missed == 10);
}
