#include "plant_model/line/plant.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <vector>

#include "tests/line/cut_runs.hpp"

using namespace rimebench;
using test::check_cuts;
using test::metre_line;
using test::metre_line_queued;
using test::passes;
using test::play;
using test::shots;

namespace {

SignalChange output(std::int64_t at_us, Channel channel, std::int32_t value) {
  return {Instant{at_us}, channel, value};
}

/// Everything that varies and every signal that comes back.
PlantSpec all_wired() {
  PlantSpec spec = metre_line();
  spec.line.controls = {25'000, 50'000, true};
  spec.line.filler.pitch_sd_um = 500;
  spec.line.sensor.jitter_sd_us = 200;
  spec.line.valve.jitter_sd_us = 300;
  spec.line.valve.flow_sd_percent = 3.0;
  spec.line.valve.feedback_delay_us = 1'500;
  spec.line.gate.confirm_delay_us = 30'000;
  spec.happens.missing_share_ppm = 100'000;
  return spec;
}

}  // namespace

TEST_CASE("plant: the gate removes who passes while it is out, its delay after the command") {
  // Container n is at the gate at n + 26 tenths of a second. The gate is out from 4.22 to 4.62 s.
  const auto run = play(metre_line(), {output(4'200'000, Channel::kReject, 1),
                                       output(4'600'000, Channel::kReject, 0)});
  for (const LedgerRow& row : run.rows) {
    const bool in_window = row.gate_us >= 4'220'000 && row.gate_us < 4'620'000;
    CHECK((row.removed == 1) == in_window);
    CHECK(in_window == (row.container >= 17 && row.container <= 20));
  }
  for (const SignalChange& passed : run.of(Channel::kGate)) {
    CHECK((passed.value < 0) ==
          (passed.at >= Instant{4'220'000} && passed.at < Instant{4'620'000}));
  }
}

TEST_CASE("plant: a container that passes before the gate has moved is flagged, not removed") {
  const auto run = play(metre_line(), {output(4'190'000, Channel::kReject, 1),
                                       output(4'250'000, Channel::kReject, 0)});
  const LedgerRow& row = run.rows[15];
  CHECK(row.gate_us == 4'200'000);
  CHECK(row.flagged == 1);
  CHECK(row.removed == 0);
}

TEST_CASE("plant: each removal is confirmed, its delay after the container left") {
  PlantSpec spec = metre_line();
  spec.line.gate.confirm_delay_us = 30'000;
  const auto run =
      play(spec, {output(4'180'000, Channel::kReject, 1), output(4'350'000, Channel::kReject, 0)});
  const std::vector<SignalChange> expected{output(4'230'000, Channel::kRejectConfirmed, 1),
                                           output(4'235'000, Channel::kRejectConfirmed, 0),
                                           output(4'330'000, Channel::kRejectConfirmed, 1),
                                           output(4'335'000, Channel::kRejectConfirmed, 0)};
  CHECK(run.of(Channel::kRejectConfirmed) == expected);
}

TEST_CASE("plant: feedback shows its delay after the valve has really moved") {
  PlantSpec spec = metre_line();
  spec.line.valve.jitter_sd_us = 300;
  spec.line.valve.feedback_delay_us = 1'500;
  test::ScriptedNode node(shots(40));
  const auto run = test::record(spec, node);
  const auto moves = run.of(Channel::kValveActual);
  REQUIRE(moves.size() == 66);
  std::vector<SignalChange> expected;
  for (const SignalChange& move : moves) {
    expected.push_back({move.at + 1'500_us, Channel::kValveFeedback, move.value});
  }
  CHECK(run.of(Channel::kValveFeedback) == expected);
  std::vector<SignalChange> told;
  for (const SignalChange& input : node.inputs) {
    if (input.channel == Channel::kValveFeedback) told.push_back(input);
  }
  CHECK(told == expected);
}

TEST_CASE("plant: where nothing comes back, an output shortens no grant") {
  test::ScriptedNode node;
  test::record(metre_line(), node);
  for (const Feedback& feedback : node.feedbacks) CHECK(feedback == kNoFeedback);
}

TEST_CASE("plant: where feedback comes back, a node stops before the soonest it can come") {
  // The sooner of 8 and 6 ms, three deviations of 0.3 ms off, and 1.5 ms more.
  PlantSpec spec = metre_line();
  spec.line.valve.jitter_sd_us = 300;
  spec.line.valve.feedback_delay_us = 1'500;
  test::ScriptedNode node;
  test::record(spec, node);
  for (const Feedback& feedback : node.feedbacks) {
    CHECK(feedback.lookahead == 6'600_us);
    CHECK(feedback.watched.has(Channel::kValve));
    CHECK_FALSE(feedback.watched.has(Channel::kReject));
    CHECK_FALSE(feedback.watched.has(Channel::kMode));
  }
}

TEST_CASE(
    "plant: without its permit the line stops after its reaction, its containers unfinished") {
  // Lost at 2.97 s, the belt coasts from 3.02 s, at 2420 mm, to 2670 mm. The 26th was let go; the
  // gate at 2000 mm has seen 6.
  PlantSpec spec = metre_line();
  spec.line.controls.line_stop_reaction_us = 50'000;
  spec.line.controls.line_pulse_pitch_um = 10'000;
  const auto run = play(
      spec, {output(20'000, Channel::kLinePermit, 1), output(2'970'000, Channel::kLinePermit, 0)});
  const auto permit = run.of(Channel::kRunPermit);
  REQUIRE(permit.size() == 2);
  CHECK(permit[1] == output(3'020'000, Channel::kRunPermit, 0));
  const auto pulses = run.of(Channel::kLinePulse);
  CHECK(pulses.size() >= 266);
  CHECK(pulses.size() <= 267);
  CHECK(pulses.back().at <= Instant{3'520'000});
  REQUIRE(run.rows.size() == 26);
  for (const LedgerRow& row : run.rows) CHECK((row.gate_us > 0) == (row.container <= 6));
  CHECK(run.result.end >= Instant{3'520'000});
}

TEST_CASE("plant: a permit lost after the last container changes nothing any more") {
  PlantSpec spec = metre_line();
  spec.feed = 1_s;
  spec.line.controls.line_stop_reaction_us = 50'000;
  spec.line.controls.line_pulse_pitch_um = 25'000;
  const auto quiet = play(spec, {output(20'000, Channel::kLinePermit, 1)});
  const std::int64_t last = quiet.rows.back().gate_us;
  const auto lost = play(spec, {output(20'000, Channel::kLinePermit, 1),
                                output(last + 100'000, Channel::kLinePermit, 0)});
  CHECK(lost.rows == quiet.rows);
  CHECK(lost.of(Channel::kLinePulse) == quiet.of(Channel::kLinePulse));
  CHECK(lost.of(Channel::kRunPermit) == quiet.of(Channel::kRunPermit));
  CHECK(lost.result.end == quiet.result.end);
}

TEST_CASE("plant: a run ends a second after its last container") {
  const auto run = play(metre_line(), {});
  CHECK(run.result.end == Instant{run.rows.back().gate_us} + 1_s);
}

TEST_CASE("plant: every container that was let go gets one row, in order") {
  for (const PlantSpec& line : {metre_line(), metre_line_queued()}) {
    PlantSpec spec = line;
    spec.happens.missing_share_ppm = 200'000;
    spec.happens.stops = {{Instant{2'000'000}, 2_s, 500_ms, 1_s}};
    const auto run = play(spec, shots(30));
    CHECK(run.rows.size() > 15);
    for (std::size_t i = 0; i < run.rows.size(); ++i) {
      CHECK(run.rows[i].container == static_cast<std::int64_t>(i + 1));
      CHECK(run.rows[i].gate_us > 0);
    }
    CHECK(run.of(Channel::kGate).size() == run.rows.size());
    CHECK(run.of(Channel::kSeam).size() == run.rows.size());
  }
}

TEST_CASE("plant: a line without a gate writes its rows at the seam, however it is granted") {
  PlantSpec spec = metre_line();
  spec.line.stations.gate_um = 0;
  const auto usual = play(spec, shots(30));
  for (const LedgerRow& row : usual.rows) CHECK(row.gate_us == row.seam_us);
  for (const std::size_t inputs : {std::size_t{1}, GrantCut::kInputsAll}) {
    test::ScriptedNode node(shots(30));
    const auto run = test::record(spec, node, {inputs, false});
    CHECK(run.rows == usual.rows);
    CHECK(run.changes == usual.changes);
  }
}

TEST_CASE("plant: no nitrogen is lost on the books") {
  PlantSpec spec = all_wired();
  const auto run = play(spec, shots(40));
  std::int64_t flow_us = 0;
  const auto moves = run.of(Channel::kValveActual);
  for (const SignalChange& move : moves) flow_us += move.value == 1 ? -move.at.us : move.at.us;
  double nozzle_ug = 0.0;
  for (const LedgerRow& row : run.rows) {
    CHECK(row.shots <= 1);
    nozzle_ug += static_cast<double>(row.nozzle_ug);
    const double landed =
        static_cast<double>(row.nozzle_ug) * 0.941094 * static_cast<double>(row.captured_ppm) / 1e6;
    CHECK(static_cast<double>(row.landed_ug) == doctest::Approx(landed).epsilon(1e-4));
    CHECK(row.sealed_ug <= row.landed_ug);
  }
  // The shots that met an empty place are on no row.
  const auto landings = run.of(Channel::kLanding);
  const auto missed =
      std::count_if(landings.begin(), landings.end(), [](const auto& c) { return c.value < 0; });
  CHECK(missed > 0);
  const double met = static_cast<double>(landings.size()) - static_cast<double>(missed);
  const double mean_ug = 3.5 * static_cast<double>(flow_us) / static_cast<double>(landings.size());
  // 3 % a shot over some 30 shots.
  CHECK(nozzle_ug / met == doctest::Approx(mean_ug).epsilon(0.02));
}

TEST_CASE("plant: how a run is cut into grants leaves every change and every row as it is") {
  for (const bool wired : {false, true}) {
    const PlantSpec spec = wired ? all_wired() : metre_line_queued();
    auto outputs = shots(40);
    outputs.push_back(output(6'000'000, Channel::kReject, 1));
    outputs.push_back(output(6'200'000, Channel::kReject, 0));
    check_cuts(spec, outputs);
  }
}
