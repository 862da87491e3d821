#include <doctest/doctest.h>

#include "tests/line/befell.hpp"

using namespace rimebench;
using test::between;
using test::level_at;
using test::met_by;
using test::metre_line;
using test::metre_line_with;
using test::passes;
using test::play;

namespace {

using Changes = std::vector<SignalChange>;

SignalChange sensor(Instant at, std::int32_t value) {
  return {at, Channel::kContainerSensor, value};
}

Changes edges_of_sixth(const test::RecordedRun& run) {
  return between(run, Channel::kContainerSensor, passes(6, 250'000), passes(6, 349'000));
}

/// Far from 10 % of 600, by five deviations of 7.3.
bool about_a_tenth(std::size_t of_600) { return of_600 > 23 && of_600 < 97; }

}  // namespace

TEST_CASE("sensor: what it does not show passes all the same") {
  const auto run = play(metre_line_with(MishapKind::kUnseen, {.share_ppm = 1'000'000}, 5_s), {});
  CHECK(run.of(Channel::kContainerSensor).empty());
  CHECK(run.rows.size() > 40);
  CHECK(met_by(run, Befell::kUnseen).size() == run.rows.size());
  CHECK(run.rows[5].sensor_us == 0);
  CHECK(run.rows[5].gate_us == passes(6, 2'000'000).us);
}

TEST_CASE("sensor: a tenth is met where a tenth is asked for, whichever chance it is") {
  for (const MishapKind kind : {MishapKind::kUnseen, MishapKind::kSplashEcho, MishapKind::kShoulder,
                                MishapKind::kFallen, MishapKind::kTouching}) {
    const Mishap share{.share_ppm = 100'000, .after = 5_ms, .lasts = 5_ms, .um = 60'000};
    const auto run = play(metre_line_with(kind, share), {});
    CHECK(run.rows.size() > 580);
    std::size_t met = 0;
    for (const LedgerRow& row : run.rows) met += row.befell != 0 ? 1 : 0;
    CHECK(about_a_tenth(met));
  }
}

TEST_CASE("sensor: one chance more leaves every other draw where it was") {
  PlantSpec spec = metre_line_with(MishapKind::kUnseen, {.share_ppm = 100'000}, 20_s);
  spec.product.fill_sd_ml = 1.0;
  spec.line.sensor.jitter_sd_us = 200;
  const auto alone = play(spec, {});
  spec.happens.chatter = {200'000, 4, 800_us};
  spec.happens.of(MishapKind::kSplashEcho) = {.share_ppm = 50'000, .after = 5_ms, .lasts = 8_ms};
  spec.happens.of(SpellKind::kPermitFlicker) = {{.per_hour = 600.0, .lasts = 5_ms}};
  const auto both = play(spec, {});
  CHECK(met_by(alone, Befell::kUnseen) == met_by(both, Befell::kUnseen));
  CHECK(!met_by(both, Befell::kChatter).empty());
  REQUIRE(alone.rows.size() == both.rows.size());
  for (std::size_t i = 0; i < alone.rows.size(); ++i) {
    LedgerRow row = both.rows[i];
    row.befell = alone.rows[i].befell;
    CHECK(row == alone.rows[i]);
  }
}

TEST_CASE("sensor: a splash shows a short level behind its container") {
  const Mishap echo{.share_ppm = 1'000'000, .after = 10_ms, .lasts = 6_ms};
  const auto run = play(metre_line_with(MishapKind::kSplashEcho, echo, 5_s), {});
  CHECK(edges_of_sixth(run) == Changes{sensor(Instant{1'470'500}, 1), sensor(Instant{1'530'700}, 0),
                                       sensor(Instant{1'540'700}, 1),
                                       sensor(Instant{1'546'700}, 0)});
}

TEST_CASE("sensor: at a shoulder the level drops inside the width") {
  const Mishap shoulder{.share_ppm = 1'000'000, .after = 20_ms, .lasts = 4_ms};
  const auto run = play(metre_line_with(MishapKind::kShoulder, shoulder, 5_s), {});
  CHECK(edges_of_sixth(run) == Changes{sensor(Instant{1'470'500}, 1), sensor(Instant{1'490'500}, 0),
                                       sensor(Instant{1'494'500}, 1),
                                       sensor(Instant{1'530'700}, 0)});
}

TEST_CASE("sensor: stuck high it shows a container for all that time, then what is there") {
  // It sticks in a gap and comes free in one.
  const Spell spell{.at = passes(8, 250'000), .lasts = 500_ms};
  const auto run = play(metre_line_with(SpellKind::kSensorStuckHigh, spell), {});
  const auto edges =
      between(run, Channel::kContainerSensor, passes(8, 240'000), passes(13, 260'000));
  CHECK(edges == Changes{sensor(passes(8, 250'000), 1), sensor(passes(13, 250'000), 0)});
  CHECK(met_by(run, Befell::kSensorStuck) == std::set<std::int64_t>{8, 9, 10, 11, 12});
}

TEST_CASE("sensor: stuck low in the middle of a container it comes free in the middle of another") {
  const Spell spell{.at = passes(8, 300'000), .lasts = 300_ms};
  const auto run = play(metre_line_with(SpellKind::kSensorStuckLow, spell), {});
  const auto edges =
      between(run, Channel::kContainerSensor, passes(8, 260'000), passes(11, 340'000));
  CHECK(edges == Changes{sensor(passes(8, 270'500), 1), sensor(passes(8, 300'000), 0),
                         sensor(passes(11, 300'000), 1), sensor(passes(11, 330'700), 0)});
  CHECK(met_by(run, Befell::kSensorStuck) == std::set<std::int64_t>{8, 9, 10, 11});
}

TEST_CASE("sensor: one that drifts against the travel sees containers earlier and earlier") {
  PlantSpec spec = metre_line();
  spec.feed = 40_s;
  spec.happens.sensor_drift_um_per_h = -900'000;  // 250 um a second
  const auto run = play(spec, {});
  // Number 300 would show at 30 s + 870.5 ms; by then the sensor stands 7.7 mm nearer.
  const std::int64_t early = passes(300, 270'500).us - run.rows[299].sensor_us;
  CHECK(early > 7'600);
  CHECK(early < 7'800);
}

TEST_CASE("sensor: an hour's rate is met, and a chatter's occurrences keep apart") {
  // 720 an hour for 600 s: 120, give or take 5 deviations of 11.
  const Spell spell{.per_hour = 720.0, .lasts = 20_ms};
  const auto run = play(metre_line_with(SpellKind::kPermitFlicker, spell, 600_s), {});
  std::int64_t drops = 0;
  Instant since{};
  for (const SignalChange& change : run.of(Channel::kRunPermit)) {
    if (change.value == 0) ++drops;
    if (change.value == 1 && drops > 0) CHECK(change.at - since == 20_ms);
    since = change.at;
  }
  CHECK(drops > 65);
  CHECK(drops < 175);
  CHECK(level_at(run, Channel::kRunPermit, Instant{600'000'000}) == 1);
}
