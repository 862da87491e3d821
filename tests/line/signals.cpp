#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "tests/line/metre_line.hpp"

using namespace rimebench;
using test::metre_line;
using test::metre_line_queued;
using test::passes;
using test::play;

namespace {

using Changes = std::vector<SignalChange>;

/// The changes of `channel` from `from` up to `to`.
Changes between(const test::RecordedRun& run, Channel channel, Instant from, Instant to) {
  Changes found;
  for (const SignalChange& change : run.of(channel)) {
    if (from <= change.at && change.at < to) found.push_back(change);
  }
  return found;
}

SignalChange level(Instant at, Channel channel, std::int32_t value) { return {at, channel, value}; }

}  // namespace

TEST_CASE("signals: a container shows as its leading edge passes, and until its trailing edge") {
  // Number 6: the belt is at 600 + 300 - 30 mm at 1.47 s and 60 mm further at 1.53 s.
  const auto run = play(metre_line(), {});
  const auto edges =
      between(run, Channel::kContainerSensor, passes(6, 250'000), passes(6, 349'000));
  CHECK(edges == Changes{level(Instant{1'470'500}, Channel::kContainerSensor, 1),
                         level(Instant{1'530'700}, Channel::kContainerSensor, 0)});
  CHECK(run.rows[5].sensor_us == 1'470'500);
}

TEST_CASE("signals: line pulses alternate, one for each pitch of travel") {
  PlantSpec spec = metre_line();
  spec.line.controls.line_pulse_pitch_um = 25'000;
  const auto run = play(spec, {});
  // During the ramp, at 1 m/s^2, the first is at sqrt(2 * 0.025) s = 223 607 us after the start.
  const auto pulses = run.of(Channel::kLinePulse);
  REQUIRE(pulses.size() > 60);
  CHECK(pulses[0] == level(Instant{323'607}, Channel::kLinePulse, 1));
  CHECK(pulses[1] == level(Instant{416'228}, Channel::kLinePulse, 0));
  for (std::size_t i = 20; i < 60; ++i) {
    const auto travel = static_cast<std::int64_t>(i + 1) * 25'000;
    CHECK(pulses[i].at == test::at_travel(travel));
    CHECK(pulses[i].value == static_cast<std::int32_t>((i + 1) % 2));
  }
}

TEST_CASE("signals: drops on the sensor add short levels behind the leading edge") {
  PlantSpec spec = metre_line();
  spec.happens.chatter = {1'000'000, 4, 800_us};
  const auto run = play(spec, {});
  const auto edges =
      between(run, Channel::kContainerSensor, passes(6, 250'000), passes(6, 349'000));
  const Changes expected{level(Instant{1'470'500}, Channel::kContainerSensor, 1),
                         level(Instant{1'471'300}, Channel::kContainerSensor, 0),
                         level(Instant{1'472'100}, Channel::kContainerSensor, 1),
                         level(Instant{1'472'900}, Channel::kContainerSensor, 0),
                         level(Instant{1'473'700}, Channel::kContainerSensor, 1),
                         level(Instant{1'530'700}, Channel::kContainerSensor, 0)};
  CHECK(edges == expected);
}

TEST_CASE("signals: both edges scatter, each by itself") {
  PlantSpec spec = metre_line();
  spec.line.sensor.jitter_sd_us = 100;
  const auto edges = play(spec, {}).of(Channel::kContainerSensor);
  int alike = 0;
  double squares = 0.0;
  constexpr std::int64_t kFirst = 6;
  constexpr std::int64_t kContainers = 30;
  for (std::int64_t n = kFirst; n < kFirst + kContainers; ++n) {
    const auto i = static_cast<std::size_t>(2 * (n - 1));
    const std::int64_t on = (edges[i].at - passes(n, 270'500)).raw;
    const std::int64_t off = (edges[i + 1].at - passes(n, 330'700)).raw;
    alike += on == off ? 1 : 0;
    squares += static_cast<double>(on * on + off * off);
  }
  CHECK(alike <= 2);
  // The estimate of the deviation from 60 is good to 9 %, here taken four times.
  CHECK(std::sqrt(squares / (2.0 * kContainers)) == doctest::Approx(100.0).epsilon(0.36));
}

TEST_CASE("signals: lid, seam, discharge and gate come as the container's place says") {
  PlantSpec spec = metre_line();
  spec.line.controls.lid_sensor = true;
  const auto run = play(spec, {});
  const LedgerRow& row = run.rows[5];
  CHECK(row.lid_us == passes(6, 900'000).us);
  CHECK(row.seam_us == passes(6, 1'000'000).us);
  CHECK(row.gate_us == passes(6, 2'000'000).us);
  const auto lids = between(run, Channel::kLidPresent, passes(6, 890'000), passes(6, 950'000));
  CHECK(lids == Changes{level(passes(6, 900'000), Channel::kLidPresent, 1),
                        level(passes(6, 905'000), Channel::kLidPresent, 0)});
  const auto discharge =
      between(run, Channel::kDischargeSensor, passes(6, 1'350'000), passes(6, 1'449'000));
  CHECK(discharge == Changes{level(passes(6, 1'370'000), Channel::kDischargeSensor, 1),
                             level(passes(6, 1'430'000), Channel::kDischargeSensor, 0)});
}

TEST_CASE("signals: behind the seamer of a queued line the times count from the taking") {
  const auto run = play(metre_line_queued(), {});
  const Instant taken = passes(6, 1'000'000);
  const auto discharge = between(run, Channel::kDischargeSensor, taken + 50_ms, taken + 145_ms);
  // It reaches the sensor after 80 ms, then goes with the outfeed, its centre 30 mm behind its
  // edge: 60 mm to clear the sensor, 630 mm to the gate.
  CHECK(discharge == Changes{level(taken + 80_ms, Channel::kDischargeSensor, 1),
                             level(taken + 140_ms, Channel::kDischargeSensor, 0)});
  CHECK(Instant{run.rows[5].gate_us} == taken + 80_ms + 630_ms);
}

TEST_CASE("signals: an inline filler announces each group as it lets go") {
  PlantSpec spec = metre_line_queued();
  spec.line.filler = {
      .kind = FillerKind::kInline, .heads = 2, .head_pitch_um = 100'000, .group_pitch_um = 700'000};
  spec.speed = {{Instant{0}, 120.0}};
  // 2 a second, 350 mm of travel each: 0.7 m/s. 700 mm are done at 0.6 s + 1 s.
  const auto starts = play(spec, {}).of(Channel::kGroupStart);
  REQUIRE(starts.size() >= 4);
  CHECK(starts[0] == level(Instant{1'600'000}, Channel::kGroupStart, 1));
  CHECK(starts[1] == level(Instant{1'605'000}, Channel::kGroupStart, 0));
  CHECK(starts[2] == level(Instant{2'600'000}, Channel::kGroupStart, 1));
}

TEST_CASE("signals: the run permit falls at the stop and returns after it") {
  PlantSpec spec = metre_line();
  spec.happens.stops = {{Instant{2'000'000}, 1_s, 500_ms, 1_s}};
  const auto permit = play(spec, {}).of(Channel::kRunPermit);
  CHECK(permit == Changes{level(Instant{100'000}, Channel::kRunPermit, 1),
                          level(Instant{2'000'000}, Channel::kRunPermit, 0),
                          level(Instant{3'000'000}, Channel::kRunPermit, 1)});
}

TEST_CASE("signals: touching containers before the sensor are one long level") {
  // A seamer of one container a second lets the queue grow back past the sensor at 300 mm.
  PlantSpec spec = metre_line_queued();
  spec.feed = 30_s;
  spec.line.seamer = {1'000'000, 20'000, 50'000, 80'000};
  const auto run = play(spec, {});
  std::int32_t shown = 0;
  Instant since{};
  Duration longest{};
  for (const SignalChange& change : run.of(Channel::kContainerSensor)) {
    CHECK(change.value != shown);
    shown = change.value;
    if (shown == 0) longest = std::max(longest, change.at - since);
    since = change.at;
  }
  CHECK(shown == 0);
  CHECK(longest > 5_s);
}

TEST_CASE("signals: no channel changes twice at an instant, or to the value it has") {
  PlantSpec spec = metre_line_queued();
  spec.line.controls.line_pulse_pitch_um = 25'000;
  spec.line.sensor.jitter_sd_us = 3'000;
  spec.happens.chatter = {300'000, 4, 800_us};
  spec.happens.missing_share_ppm = 100'000;
  spec.happens.stops = {{Instant{2'000'000}, 1_s, 500_ms, 1_s}};
  const auto run = play(spec, {});
  std::vector<std::int32_t> values(0x4000, 0);
  const SignalChange* before = nullptr;
  for (const SignalChange& change : run.changes) {
    if (before != nullptr) CHECK(canonical_before(*before, change));
    before = &change;
    if (class_of(change.channel) == ChannelClass::kWitness) continue;
    CHECK(values[number(change.channel)] != change.value);
    values[number(change.channel)] = change.value;
  }
}
