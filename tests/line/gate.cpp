#include "plant_model/line/gate.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <vector>

#include "tests/line/metre_line.hpp"

using namespace rimebench;
using test::metre_line;
using test::play;

namespace {

constexpr Duration kWeek{604'800'000'000};

SignalChange reject(std::int64_t at_us, bool out) {
  return {Instant{at_us}, Channel::kReject, out ? 1 : 0};
}

/// Container n is at the gate at n + 26 tenths of a second; commanded out from 4.18 to 4.58 s, the
/// gate removes containers 16 to 19.
const std::vector<SignalChange> kWindow{reject(4'180'000, true), reject(4'580'000, false)};

PlantSpec with(std::vector<GateTrouble> troubles) {
  PlantSpec spec = metre_line();
  spec.line.gate.confirm_delay_us = 30'000;
  spec.happens.gate = std::move(troubles);
  return spec;
}

std::vector<std::int64_t> removed(const test::RecordedRun& run) {
  std::vector<std::int64_t> numbers;
  for (const LedgerRow& row : run.rows) {
    if (row.removed == 1) numbers.push_back(row.container);
  }
  return numbers;
}

using Numbers = std::vector<std::int64_t>;

}  // namespace

TEST_CASE("gate: in order it removes the four containers that it is told to") {
  CHECK(removed(play(with({}), kWindow)) == Numbers{16, 17, 18, 19});
}

TEST_CASE("gate: stuck in, it lets the flagged pass, and no removal is confirmed") {
  const auto run = play(with({{GateTroubleKind::kStuckIn, Instant{0}, kWeek}}), kWindow);
  CHECK(removed(run).empty());
  CHECK(run.of(Channel::kRejectConfirmed).empty());
  for (std::size_t n = 15; n < 19; ++n) CHECK(run.rows[n].flagged == 1);
}

TEST_CASE("gate: freed while it is commanded, it comes out") {
  const auto run =
      play(with({{GateTroubleKind::kStuckIn, Instant{0}, Duration{4'350'000}}}), kWindow);
  CHECK(removed(run) == Numbers{18, 19});
}

TEST_CASE("gate: stuck out, it removes everything until it is freed") {
  const auto run = play(with({{GateTroubleKind::kStuckOut, Instant{4'300'000}, 1_s}}), kWindow);
  CHECK(removed(run) == Numbers{16, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26});
}

TEST_CASE("gate: slow on the way out it misses the first, slow on the way back takes a neighbour") {
  GateTrouble slow{GateTroubleKind::kSlow, Instant{0}, kWeek};
  slow.out_later = 60_ms;
  slow.back_later = 110_ms;
  CHECK(removed(play(with({slow}), kWindow)) == Numbers{17, 18, 19, 20, 21});
}

TEST_CASE("gate: low air shows at its switch, and its strokes fail") {
  GateTrouble low{GateTroubleKind::kLowAir, Instant{4'250'000}, 200_ms};
  low.share_ppm = 1'000'000;
  const auto run = play(with({low}), kWindow);
  const std::vector<SignalChange> air{{Instant{1'000}, Channel::kGateAir, 1},
                                      {Instant{4'270'000}, Channel::kGateAir, 0},
                                      {Instant{4'470'000}, Channel::kGateAir, 1}};
  CHECK(run.of(Channel::kGateAir) == air);
  CHECK(removed(run) == Numbers{16, 19});
}

TEST_CASE("gate: a blind eye leaves removals unconfirmed; they are removed all the same") {
  GateTrouble blind{GateTroubleKind::kEyeBlind, Instant{0}, kWeek};
  blind.share_ppm = 1'000'000;
  const auto run = play(with({blind}), kWindow);
  CHECK(removed(run).size() == 4);
  CHECK(run.of(Channel::kRejectConfirmed).empty());
}

TEST_CASE("gate: a full bin says so, takes its spare, and then none until it is emptied") {
  PlantSpec spec = with({{GateTroubleKind::kBinEmptied, Instant{4'450'000}, kWeek}});
  spec.line.gate.bin_holds = 1;
  spec.line.gate.bin_spare = 1;
  const auto run = play(spec, kWindow);
  CHECK(removed(run) == Numbers{16, 17, 19});
  const std::vector<SignalChange> full{{Instant{4'220'000}, Channel::kRejectBinFull, 1},
                                       {Instant{4'470'000}, Channel::kRejectBinFull, 0},
                                       {Instant{4'520'000}, Channel::kRejectBinFull, 1}};
  CHECK(run.of(Channel::kRejectBinFull) == full);
}

TEST_CASE("gate: how a run is cut into grants changes nothing at a gate out of order") {
  GateTrouble misses{GateTroubleKind::kMisses, Instant{0}, kWeek};
  misses.share_ppm = 500'000;
  GateTrouble low{GateTroubleKind::kLowAir, Instant{4'250'000}, 200_ms};
  low.share_ppm = 300'000;
  PlantSpec spec = with({misses, low, {GateTroubleKind::kBinEmptied, Instant{4'450'000}, kWeek}});
  spec.line.gate.bin_holds = 4;
  spec.line.gate.bin_spare = 4;
  const std::vector<SignalChange> outputs{reject(3'180'000, true), reject(5'580'000, false)};
  const auto usual = play(spec, outputs);
  CHECK(removed(usual).size() > 4);
  CHECK(removed(usual).size() < 20);
  for (const GrantCut& cut :
       {GrantCut{1, false}, GrantCut{GrantCut::kInputsAll, false}, GrantCut{256, true}}) {
    test::ScriptedNode node(outputs);
    const auto run = test::record(spec, node, cut);
    CHECK(run.changes == usual.changes);
    CHECK(run.rows == usual.rows);
  }
}
