/// What is known of a made line must come out of a capture of its wires.

#include "harness/audit/audit.hpp"

#include <doctest/doctest.h>

#include <boost/math/distributions/binomial.hpp>

#include "harness/cli/audit_text.hpp"
#include "tests/audit/captured_run.hpp"
#include "tests/support/golden.hpp"

using namespace rimebench;
using test::audited;
using test::has;

namespace {

bool holds(const Estimate& e, double truth) { return e.low <= truth && truth <= e.high; }

/// A line that its recipe is wrong about, with a shot missing, one twice and one for nobody.
struct Planted {
  test::CapturedRun run;
  double missing_at{}, double_at{}, orphan_at{};
};

Planted planted(std::uint64_t seed) {
  PlantSpec spec = test::ramping_line(seed, 90'000'000);
  spec.line.sensor.on_delay_us = 2'300;
  spec.line.sensor.off_delay_us = 2'300;
  spec.line.valve.open_delay_us = 11'500;
  spec.line.valve.close_delay_us = 7'200;
  Planted made{test::capture(spec)};
  const auto valve = made.run.of(Channel::kValve), actual = made.run.of(Channel::kValveActual);
  const auto sensor = made.run.of(Channel::kContainerSensor);
  REQUIRE(valve.size() > 800);
  made.missing_at = static_cast<double>(valve[200].at.us);
  made.double_at = static_cast<double>(valve[401].at.us) + 15'000.0;
  // The container of shot 300 was never there; the shot comes all the same.
  made.orphan_at = static_cast<double>(valve[600].at.us);
  made.run.erase({valve[200], valve[201], actual[200], actual[201], sensor[600], sensor[601]});
  made.run.shoot(valve[401].at + Duration{15'000}, Duration{7'000});
  return made;
}

/// A line whose controller shoots a third of a second after the sensor, whatever the belt does.
test::CapturedRun fixed_delay(const PlantSpec& spec) {
  test::CapturedRun run = test::capture(spec);
  run.erase(run.of(Channel::kValve));
  run.erase(run.of(Channel::kValveActual));
  std::int64_t jitter_us = 0;
  for (const SignalChange& edge : run.of(Channel::kContainerSensor)) {
    if (edge.value == 0) continue;
    jitter_us = (jitter_us * 31 + 17) % 601;
    run.shoot(edge.at + Duration{333'000 + jitter_us}, Duration{23'000});
  }
  return run;
}

}  // namespace

TEST_CASE("audit: a missing, a double and an orphan shot are found, each at its container") {
  const Planted made = planted(7);
  const AuditReport report = audited(test::through_dump(made.run), made.run.spec);
  REQUIRE(report.missing.size() == 1);
  CHECK(report.missing.front().container == 101);
  CHECK(std::abs(report.missing.front().at_us - made.missing_at) < 50'000.0);
  REQUIRE(report.doubles.size() == 1);
  CHECK(report.doubles.front().container == 201);
  CHECK(report.doubles.front().at_us == made.double_at);
  REQUIRE(report.orphans.size() == 1);
  CHECK(report.orphans.front().at_us == made.orphan_at);
  for (const AuditReason reason :
       {AuditReason::kMissing, AuditReason::kDouble, AuditReason::kOrphan,
        AuditReason::kCoreDiffers, AuditReason::kRecipeOff}) {
    CHECK(has(report, reason));
  }
  CHECK_FALSE(has(report, AuditReason::kLengths));
  CHECK_FALSE(has(report, AuditReason::kLate));
}

TEST_CASE("audit: latencies lie in their intervals, and the recipe is corrected to them") {
  const Planted made = planted(7);
  const AuditReport report = audited(test::through_dump(made.run), made.run.spec);
  REQUIRE(report.valve);
  CHECK(report.valve->wire == Channel::kValveActual);
  CHECK(holds(report.valve->open_us.mean, 11'500.0));
  CHECK(holds(report.valve->close_us.mean, 7'200.0));
  CHECK(report.valve->open_us.sd == doctest::Approx(300.0).epsilon(0.1));
  REQUIRE(report.sensor);
  CHECK(holds(report.sensor->latency_us, 2'300.0));
  CHECK(holds(report.sensor->pulse_pitch_um, 22'500.0));
  std::vector<std::string> keys;
  for (const Correction& one : report.corrections) keys.emplace_back(one.key);
  CHECK(keys == std::vector<std::string>{"valve_open_delay_us", "valve_close_delay_us",
                                         "sensor_latency_us"});
  CHECK(std::abs(report.corrected.get(Parameter::kValveOpenDelayUs) - 11'500) < 60);
  CHECK(report.corrected.get(Parameter::kFlightUs) ==
        made.run.spec.recipe.get(Parameter::kFlightUs));
}

TEST_CASE("audit: 95 % intervals hold the truth in 95 of 100 captures") {
  constexpr int kCaptures = 60;
  int open = 0, close = 0, sensor = 0, pitch = 0;
  for (std::uint64_t seed = 1; seed <= kCaptures; ++seed) {
    const auto run = test::capture(test::ramping_line(seed, 24'000'000));
    const AuditReport report = audited(test::through_dump(run), run.spec);
    REQUIRE(report.valve);
    REQUIRE(report.sensor);
    open += holds(report.valve->open_us.mean, 8'000.0) ? 1 : 0;
    close += holds(report.valve->close_us.mean, 6'000.0) ? 1 : 0;
    sensor += holds(report.sensor->latency_us, 500.0) ? 1 : 0;
    pitch += holds(report.sensor->pulse_pitch_um, 22'500.0) ? 1 : 0;
    // And they are worth having.
    CHECK(report.valve->open_us.mean.high - report.valve->open_us.mean.low < 120.0);
    CHECK(report.sensor->latency_us.high - report.sensor->latency_us.low < 900.0);
  }
  // Fewer than this, one time in a thousand.
  const double least =
      boost::math::quantile(boost::math::binomial_distribution<>(kCaptures, 0.95), 0.001);
  MESSAGE("of ", kCaptures, ": open ", open, ", close ", close, ", sensor ", sensor, ", pitch ",
          pitch, "; least ", least);
  for (const int held : {open, close, sensor, pitch}) CHECK(held >= least);
}

TEST_CASE(
    "audit: on a line of changing speed a constant distance and a constant time are told apart") {
  const PlantSpec spec = test::ramping_line(3, 60'000'000);
  const AuditReport distance = audited(test::through_dump(test::capture(spec)), spec);
  REQUIRE(distance.law);
  CHECK(distance.law->kind == DelayKind::kDistance);
  CHECK(distance.law->surer > 100.0);
  // The controller foresees with the last pulses' speed: a few microseconds late while that
  // changes.
  CHECK(std::abs(distance.law->both_distance_um.value - 233'050.0) < 50.0);
  CHECK(std::abs(distance.law->both_time_us.value) < 50.0);
  CHECK(distance.reasons.empty());

  const AuditReport time = audited(test::through_dump(fixed_delay(spec)), spec);
  REQUIRE(time.law);
  CHECK(time.law->kind == DelayKind::kTime);
  CHECK(time.law->surer > 100.0);
  CHECK(std::abs(time.law->both_distance_um.value) < 2'000.0);
  CHECK(time.matched_by_time);
  CHECK(time.missing.size() + time.doubles.size() + time.orphans.size() == 0);
  CHECK(has(time, AuditReason::kDelayIsTime));
  CHECK(has(time, AuditReason::kCoreDiffers));
}

TEST_CASE(
    "audit: at one speed nobody can tell time from distance, nor what the sensor's latency is") {
  PlantSpec spec = test::ramping_line(5, 30'000'000);
  spec.speed = {{Instant{0}, 400.0}};
  const AuditReport report = audited(test::through_dump(test::capture(spec)), spec);
  REQUIRE(report.law);
  CHECK(report.law->kind == DelayKind::kCannotTell);
  CHECK_FALSE(report.sensor);
  CHECK(report.corrections.empty());
  CHECK(report.reasons.empty());
}

TEST_CASE("audit: a valve's feedback tells its latency, less the feedback's own delay") {
  PlantSpec spec = test::ramping_line(2, 30'000'000);
  spec.line.valve.feedback_delay_us = 1'000;
  auto run = test::capture(spec);
  run.erase(run.of(Channel::kValveActual));
  CapturedLine line = test::through_dump(run);
  const AuditReport report = audited(line, spec);
  REQUIRE(report.valve);
  CHECK(report.valve->wire == Channel::kValveFeedback);
  CHECK(report.valve->taken_off_us == 1'000);
  CHECK(holds(report.valve->open_us.mean, 8'000.0));
}

TEST_CASE("audit: lost and extra line pulses are counted, and the belt goes on right behind them") {
  auto run = test::capture(test::ramping_line(4, 40'000'000));
  const auto pulses = run.of(Channel::kLinePulse);
  // Edges in pairs, so that the level still alternates: two lost, and two too many.
  run.erase({pulses[300], pulses[301]});
  const Duration quarter{(pulses[601].at - pulses[600].at).raw / 4};
  run.wires.push_back({pulses[600].at + quarter, Channel::kLinePulse, pulses[601].value});
  run.wires.push_back({pulses[600].at + quarter + quarter, Channel::kLinePulse, pulses[600].value});
  std::sort(run.wires.begin(), run.wires.end(), canonical_before);
  const AuditReport report = audited(test::through_dump(run), run.spec);
  CHECK(report.pulses.lost == 2);
  CHECK(report.pulses.extra == 2);
  CHECK(has(report, AuditReason::kPulses));
  CHECK(report.missing.empty());
  CHECK(report.orphans.empty());
}

TEST_CASE("audit: shots by place follow the ramp of the recipe, and a line without it shows") {
  Diagnostics diagnostics;
  const auto scenario =
      load_scenario(REPOSITORY_DIR "/config/scenarios/inline_ramp.yaml", {}, diagnostics);
  REQUIRE(scenario);
  PlantSpec spec = scenario->plant;
  spec.feed = Duration{90'000'000};
  const auto run = test::capture(spec);
  const AuditReport good = audited(test::through_dump(run), spec);
  REQUIRE(good.places.size() == 4);
  for (const auto& [place, row] : good.places) {
    REQUIRE(row.asked_us);
    CHECK(std::abs(row.off_us.median) <= 1.0);
  }
  CHECK(good.places.at(4).length_us.median > 1.2 * good.places.at(1).length_us.median);
  CHECK(good.reasons.empty());

  // The line ran the recipe without the ramp, and is audited against the one with it.
  const auto without =
      load_scenario(REPOSITORY_DIR "/config/scenarios/inline_no_ramp.yaml", {}, diagnostics);
  REQUIRE(without);
  PlantSpec flat = without->plant;
  flat.feed = spec.feed;
  const AuditReport bad = audited(test::through_dump(test::capture(flat)), spec);
  CHECK(has(bad, AuditReason::kLengths));
  CHECK(bad.places.at(4).off_us.median < -5'000.0);
}

TEST_CASE("audit: what the terminal shows") {
  const Planted made = planted(7);
  const AuditReport report = audited(test::through_dump(made.run), made.run.spec);
  CHECK_GOLDEN("audit.txt",
               audit_text(report, {"wires.vcd", "rotary.yaml", "rotary_can_355.yaml"}));
}
