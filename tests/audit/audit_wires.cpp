/// Captures as they come: cut, upside down, without this or that wire.

#include <doctest/doctest.h>

#include <stdexcept>

#include "harness/cli/audit_text.hpp"
#include "tests/audit/captured_run.hpp"
#include "tests/support/golden_runs.hpp"

using namespace rimebench;
using test::audited;
using test::has;

namespace {

const test::CapturedRun& minute() {
  static const test::CapturedRun run = test::capture(test::ramping_line(1, 40'000'000));
  return run;
}

test::CapturedRun without(Channel channel) {
  test::CapturedRun run = minute();
  run.erase(run.of(channel));
  return run;
}

void refused(CapturedLine line, const char* with) {
  CHECK_THROWS_WITH_AS(audited(line, minute().spec), doctest::Contains(with),
                       std::invalid_argument);
}

bool told(const AuditReport& report, const char* words) {
  for (const std::string& sentence : not_told(report)) {
    if (sentence.find(words) != std::string::npos) return true;
  }
  return false;
}

CapturedLine scaled(std::int64_t up, std::int64_t down) {
  CapturedLine line = test::through_dump(minute());
  for (SignalChange& change : line.changes) change.at.us = change.at.us * up / down;
  line.end.us = line.end.us * up / down;
  return line;
}

}  // namespace

TEST_CASE("capture: a wire upside down is refused with what to say instead") {
  for (const char* channel : {"container_sensor", "valve", "valve_actual", "run_permit"}) {
    CAPTURE(channel);
    refused(test::through_dump(minute(), {std::string(channel) + "=!" + channel}),
            (std::string("--wire WIRE=!") + channel).c_str());
  }
  // The right polarity said of a wire that is upside down is the same as a right wire.
  test::CapturedRun flipped = minute();
  flipped.wires.insert(flipped.wires.begin(), {Instant{0}, Channel::kValve, 0});
  for (SignalChange& change : flipped.wires) {
    if (change.channel == Channel::kValve) change.value = 1 - change.value;
  }
  CHECK(audited(test::through_dump(flipped, {"valve=!valve"}), flipped.spec).reasons.empty());
}

TEST_CASE("capture: times in another unit are refused") {
  refused(scaled(1000, 1), "are the capture's times in another unit?");
  refused(scaled(1, 1000), "are the capture's times in another unit?");
}

TEST_CASE("capture: without sensor or valve there is nothing to measure") {
  CapturedLine line = test::through_dump(minute());
  line.wires.erase(Channel::kContainerSensor);
  refused(line, "container_sensor is not captured");
  line = test::through_dump(minute());
  line.wires.erase(Channel::kValve);
  refused(line, "valve is not captured");
  refused(test::through_dump(without(Channel::kValve)), "valve never rises");
  test::CapturedRun empty = minute();
  empty.wires.clear();
  refused(test::through_dump(empty), "container_sensor never rises");
}

TEST_CASE("capture: without line pulses nothing tells where the belt was: inconclusive") {
  const AuditReport report =
      audited(test::through_dump(without(Channel::kLinePulse)), minute().spec);
  CHECK(has(report, AuditReason::kNoBelt));
  CHECK(outcome_of(report) == Outcome::kInconclusive);
}

TEST_CASE("capture: interlocks that are not captured are made up, and the output says so") {
  CapturedLine line = test::through_dump(minute());
  for (const Channel gone : {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kLinkAlive,
                             Channel::kRunPermit, Channel::kOperatorStart}) {
    std::erase_if(line.changes, [&](const SignalChange& c) { return c.channel == gone; });
    line.wires.erase(gone);
  }
  line.begin = Instant{0};
  const AuditReport report = audited(line, minute().spec);
  const auto& given = report.core.start.given;
  CHECK(std::find(given.begin(), given.end(), Channel::kSafetyChain) != given.end());
  CHECK(std::find(given.begin(), given.end(), Channel::kRunPermit) != given.end());
  REQUIRE(report.comparison);
  CHECK(report.comparison->agrees());
  CHECK(audit_text(report, {}).find("given, as not captured: safety_chain") != std::string::npos);
}

TEST_CASE("capture: without the valve's feedback its latency is not told, and that is said") {
  CapturedLine line = test::through_dump(without(Channel::kValveActual));
  const AuditReport report = audited(line, minute().spec);
  CHECK_FALSE(report.valve);
  CHECK(told(report, "only the command is captured"));
  CHECK(report.reasons.empty());
}

TEST_CASE("capture: one that begins in the middle of a container and of a shot") {
  // Pulses must come within 1.5 s of the permit: what lies before the capture is no time to wait.
  PlantSpec spec = test::plant_of("pulses_lost", 40'000'000);
  spec.happens = {};
  const test::CapturedRun run = test::capture(spec);
  const auto sensor = run.of(Channel::kContainerSensor), valve = run.of(Channel::kValve);
  for (const Instant from : {sensor[60].at + Duration{20'000}, valve[60].at + Duration{5'000}}) {
    CapturedLine line = test::through_dump(run);
    CapturedLine cut = line;
    cut.begin = from;
    cut.changes.clear();
    std::map<Channel, std::int32_t> levels;
    for (const SignalChange& change : line.changes) {
      if (change.at <= from) levels[change.channel] = change.value;
    }
    for (const auto& [channel, value] : levels) {
      if (value != 0) cut.changes.push_back({from, channel, value});
    }
    for (const SignalChange& change : line.changes) {
      if (change.at > from) cut.changes.push_back(change);
    }
    const AuditReport report = audited(cut, spec);
    CHECK(report.sightings.begins_in_container == (levels[Channel::kContainerSensor] != 0));
    CHECK(report.orphans.empty());
    CHECK(report.missing.empty());
    CHECK(report.before_capture + report.cut_shots >= 1);
    REQUIRE(report.comparison);
    CHECK(report.comparison->agrees());
    CHECK(report.reasons.empty());
  }
}

TEST_CASE("capture: one cut off in the middle of a shot counts no container as missing") {
  test::CapturedRun run = minute();
  const auto valve = run.of(Channel::kValve);
  run.cut(Instant{0}, valve[150].at + Duration{3'000});
  const AuditReport report = audited(test::through_dump(run), run.spec);
  CHECK(report.cut_shots == 1);
  CHECK(report.missing.empty());
  CHECK(report.orphans.empty());
  CHECK(report.reasons.empty());
}

TEST_CASE("capture: glitches on the sensor are chatter, not containers") {
  test::CapturedRun run = minute();
  const auto sensor = run.of(Channel::kContainerSensor);
  for (std::size_t i = 40; i < 60; i += 2) {
    const Instant gap = sensor[i + 1].at + Duration{30'000};
    run.wires.push_back({gap, Channel::kContainerSensor, 1});
    run.wires.push_back({gap + Duration{400}, Channel::kContainerSensor, 0});
  }
  std::sort(run.wires.begin(), run.wires.end(), canonical_before);
  const AuditReport report = audited(test::through_dump(run), run.spec);
  CHECK(report.sightings.chatter == 10);
  CHECK(report.orphans.empty());
  CHECK(report.missing.empty());
}

TEST_CASE("capture: starts, stops and faults of the line are no faults of its controller's") {
  for (const char* name :
       {"bath_steady", "emergency_stop", "restart_after_10s", "leak_on_standing"}) {
    CAPTURE(name);
    const PlantSpec spec = test::plant_of(name, 90'000'000);
    const AuditReport report = audited(test::through_dump(test::capture(spec)), spec);
    for (const AuditReason reason : report.reasons)
      CHECK_MESSAGE(false, reason_text(report, reason));
    REQUIRE(report.comparison);
    CHECK(report.comparison->channels.front().captured > 500);
  }
}

TEST_CASE("capture: a controller that hung shows, with the moment and what came before it") {
  const PlantSpec spec = test::plant_of("hung_core_no_watchdog", 90'000'000);
  const AuditReport report = audited(test::through_dump(test::capture(spec)), spec);
  // The head's samples are vectors, and this dump has wires only.
  CHECK(has(report, AuditReason::kCoreUnfed));
  REQUIRE(report.comparison->first);
  CHECK(report.comparison->first->before.size() == 12);
  const SignalChange& first = report.comparison->first->recorded
                                  ? *report.comparison->first->recorded
                                  : *report.comparison->first->replayed;
  CHECK(std::abs(first.at.us - 60'000'000) < 300'000);
}

TEST_CASE("capture: a run's own trace brings its start and recipe, and every output is compared") {
  const PlantSpec spec = test::ramping_line(1, 20'000'000);
  InprocNode node;
  const auto run = test::record(spec, node);
  CapturedLine line{run.changes, {}, Instant{-1}, run.result.end, true};
  for (const SignalChange& change : run.changes) line.wires.insert(change.channel);
  AuditReport report = audited(line, spec);
  CHECK(report.core.own_start);
  REQUIRE(report.comparison);
  CHECK(report.comparison->agrees());
  CHECK(report.comparison->channels.size() >= 4);
  CHECK(report.reasons.empty());
  line.complete = false;
  report = audited(line, spec);
  CHECK(has(report, AuditReason::kCut));
  CHECK(outcome_of(report) == Outcome::kInconclusive);
}
