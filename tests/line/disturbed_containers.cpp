#include <doctest/doctest.h>

#include "tests/line/befell.hpp"

using namespace rimebench;
using test::between;
using test::level_at;
using test::met_by;
using test::metre_line;
using test::metre_line_queued;
using test::metre_line_with;
using test::passes;
using test::play;
using test::valve;

namespace {

using Changes = std::vector<SignalChange>;

/// Two heads, 100 mm apart, a group each 700 mm at 0.7 m/s: one a second from 1.6 s on.
PlantSpec two_heads() {
  PlantSpec spec = metre_line_queued();
  spec.feed = 60_s;
  spec.line.filler = {
      .kind = FillerKind::kInline, .heads = 2, .head_pitch_um = 100'000, .group_pitch_um = 700'000};
  spec.speed = {{Instant{0}, 120.0}};
  return spec;
}

std::int64_t not_finished(const test::RecordedRun& run) {
  return std::count_if(run.rows.begin(), run.rows.end(),
                       [](const LedgerRow& row) { return row.gate_us == 0; });
}

/// A shot into container 6, in the middle of its opening.
std::vector<SignalChange> shot_at_sixth() {
  const Instant open = passes(6, 500'000) - 15'300_us - 8_ms - 10_ms;
  return {valve(open.us, true), valve(open.us + 22'000, false)};
}

}  // namespace

TEST_CASE("containers: one that lies is longer in front of the sensor and takes no shot") {
  const Mishap lying{.share_ppm = 1'000'000, .um = 90'000};
  const auto run = play(metre_line_with(MishapKind::kFallen, lying, 5_s), shot_at_sixth());
  const auto edges =
      between(run, Channel::kContainerSensor, passes(6, 250'000), passes(6, 349'000));
  CHECK(edges == Changes{{passes(6, 255'500), Channel::kContainerSensor, 1},
                         {passes(6, 345'700), Channel::kContainerSensor, 0}});
  CHECK(run.rows[5].nozzle_ug > 0);
  CHECK(run.rows[5].captured_ppm == 0);
  const auto upright = play(metre_line(), shot_at_sixth());
  CHECK(upright.rows[5].captured_ppm > 990'000);
}

TEST_CASE("containers: touching ones stand one body apart and show as one") {
  const auto run = play(metre_line_with(MishapKind::kTouching, {.share_ppm = 200'000}, 20_s), {});
  const auto touching = met_by(run, Befell::kTouching);
  CHECK(touching.size() > 10);
  for (const std::int64_t number : touching) {
    const LedgerRow& row = run.rows.at(static_cast<std::size_t>(number - 1));
    const LedgerRow& ahead = run.rows.at(static_cast<std::size_t>(number - 2));
    if (number > 5) CHECK(row.gate_us - ahead.gate_us == 60'000);
    CHECK(row.sensor_us == 0);
  }
}

TEST_CASE("containers: one more is put in where there is room, and nowhere else") {
  PlantSpec spec = metre_line_with(MishapKind::kExtra, {.share_ppm = 1'000'000, .um = 70'000});
  CHECK(met_by(play(spec, {}), Befell::kExtra).empty());
  spec.happens.missing_share_ppm = 100'000;
  const auto run = play(spec, {});
  const auto extras = met_by(run, Befell::kExtra);
  CHECK(extras.size() > 20);
  for (const std::int64_t number : extras) {
    if (number < 6) continue;
    const auto i = static_cast<std::size_t>(number - 1);
    CHECK(run.rows[i].gate_us - run.rows[i - 1].gate_us == 70'000);
  }
  // The containers that were there anyhow are filled as before.
  spec.happens.of(MishapKind::kExtra) = {};
  CHECK(play(spec, {}).rows.size() + extras.size() == run.rows.size());
}

TEST_CASE("containers: an extra one counts as the next place of its group") {
  PlantSpec spec = two_heads();
  spec.happens.of(MishapKind::kExtra) = {.share_ppm = 1'000'000, .um = 100'000};
  const auto run = play(spec, {});
  REQUIRE(run.rows.size() > 30);
  CHECK(run.rows[2].place == 3);
  CHECK(run.rows[2].head == 0);
  CHECK(run.rows[2].group == 1);
  CHECK(run.rows[3].place == 1);
}

TEST_CASE("filler: a short group lacks its last heads") {
  PlantSpec spec = two_heads();
  spec.happens.of(MishapKind::kShortGroup) = {.share_ppm = 300'000, .heads = 1};
  const auto run = play(spec, {});
  const auto met = met_by(run, Befell::kShortGroup);
  CHECK(met.size() > 5);
  CHECK(met.size() < 35);
  for (const std::int64_t number : met) {
    const auto i = static_cast<std::size_t>(number - 1);
    CHECK(run.rows[i].head == 1);
    if (i + 1 < run.rows.size()) CHECK(run.rows[i + 1].group == run.rows[i].group + 1);
  }
}

TEST_CASE("filler: group signals are lost and late as often as asked for") {
  PlantSpec spec = two_heads();
  const auto all = play(spec, {}).of(Channel::kGroupStart).size();
  spec.happens.of(MishapKind::kGroupSignalLost) = {.share_ppm = 300'000};
  const auto lost = play(spec, {});
  CHECK(lost.of(Channel::kGroupStart).size() + met_by(lost, Befell::kGroupSignalLost).size() ==
        all);  // two changes a group, two containers a group
  CHECK(met_by(lost, Befell::kGroupSignalLost).size() > 10);
  spec.happens.of(MishapKind::kGroupSignalLost) = {};
  spec.happens.of(MishapKind::kGroupSignalLate) = {.share_ppm = 1'000'000, .after = 150_ms};
  const auto late = play(spec, {}).of(Channel::kGroupStart);
  REQUIRE(late.size() == all);
  CHECK(late[0].at == Instant{1'750'000});
  CHECK(late[1].at == Instant{1'755'000});
}

TEST_CASE("seamer: a slow one takes so many times as long for everything it does") {
  PlantSpec spec = metre_line_queued();
  spec.happens.of(SpellKind::kSeamerSlow) = {
      {.at = Instant{200'000}, .lasts = 4_s, .amount = 300.0}};
  const auto run = play(spec, {});
  // Taken at 1 m: 3 x 20 ms to the lid, 3 x 50 ms to the seam, and the next one 270 ms later.
  CHECK(run.rows[0].seam_us - run.rows[0].lid_us == 90'000);
  CHECK(run.rows[2].seam_us - run.rows[1].seam_us == 270'000);
  CHECK(has_befallen(run.rows[2].befell, Befell::kSeamerSlow));
}

TEST_CASE("seamer: while it stands the queue grows, and nothing is lost") {
  PlantSpec spec = metre_line_queued();
  spec.line.controls.seamer_signal = true;
  spec.happens.of(SpellKind::kSeamerStop) = {{.at = Instant{3'000'000}, .lasts = 2_s}};
  const auto run = play(spec, {});
  for (const LedgerRow& row : run.rows) {
    const bool meanwhile = row.lid_us > 3'020'000 && row.lid_us < 5'020'000;
    CHECK(!meanwhile);
  }
  CHECK(run.of(Channel::kSeamerRunning) ==
        Changes{{Instant{100'000}, Channel::kSeamerRunning, 1},
                {Instant{3'000'000}, Channel::kSeamerRunning, 0},
                {Instant{5'000'000}, Channel::kSeamerRunning, 1}});
  CHECK(met_by(run, Befell::kSeamerStop).size() > 5);
  CHECK(not_finished(run) == 0);
}

TEST_CASE("seamer: with no room behind it, it waits, and the line says so where that is wired") {
  PlantSpec spec = metre_line_queued();
  spec.happens.of(SpellKind::kDownstreamFull) = {{.at = Instant{3'000'000}, .lasts = 2_s}};
  CHECK(play(spec, {}).of(Channel::kDownstreamFull).empty());
  spec.line.controls.downstream_signal = true;
  const auto run = play(spec, {});
  CHECK(run.of(Channel::kDownstreamFull) ==
        Changes{{Instant{3'000'000}, Channel::kDownstreamFull, 1},
                {Instant{5'000'000}, Channel::kDownstreamFull, 0}});
  CHECK(!met_by(run, Befell::kDownstreamFull).empty());
}

TEST_CASE("hand: what is taken away before the seamer has no seam, and the others go on") {
  for (const PlantSpec& line : {metre_line(), metre_line_queued()}) {
    PlantSpec spec = line;
    spec.feed = 20_s;
    const auto whole = play(spec, {});
    spec.happens.of(MishapKind::kTakenBeforeSeam) = {.share_ppm = 100'000};
    const auto run = play(spec, {});
    CHECK(run.rows.size() == whole.rows.size());
    const auto taken = met_by(run, Befell::kTakenBeforeSeam);
    CHECK(taken.size() > 5);
    CHECK(not_finished(run) == static_cast<std::int64_t>(taken.size()));
    for (std::size_t i = 0; i < run.rows.size(); ++i) {
      CHECK(run.rows[i].container == static_cast<std::int64_t>(i + 1));
      const bool gone = taken.count(run.rows[i].container) == 1;
      CHECK((run.rows[i].seam_us == 0) == gone);
    }
    CHECK(run.of(Channel::kDischargeSensor).size() + 2 * taken.size() ==
          whole.of(Channel::kDischargeSensor).size());
  }
}

TEST_CASE("hand: what is taken away behind the seamer is never seen at the discharge") {
  for (const PlantSpec& line : {metre_line(), metre_line_queued()}) {
    PlantSpec spec = line;
    spec.feed = 20_s;
    const auto whole = play(spec, {});
    spec.happens.of(MishapKind::kTakenBehindSeam) = {.share_ppm = 100'000};
    const auto run = play(spec, {});
    const auto taken = met_by(run, Befell::kTakenBehindSeam);
    CHECK(taken.size() > 5);
    CHECK(run.rows.size() == whole.rows.size());
    CHECK(not_finished(run) == static_cast<std::int64_t>(taken.size()));
    for (const LedgerRow& row : run.rows) CHECK(row.seam_us > 0);
    CHECK(run.of(Channel::kDischargeSensor).size() + 2 * taken.size() ==
          whole.of(Channel::kDischargeSensor).size());
  }
}

TEST_CASE(
    "containers: the wrong one of the same diameter takes the same dose to another pressure") {
  PlantSpec spec = metre_line();
  spec.happens.wrong_container = {.share_ppm = 1'000'000,
                                  .at = Instant{0},
                                  .lasts = 3_s,
                                  .brimful_ml = 520.0,
                                  .fill_ml = 500.0,
                                  .rim_to_drink_um = 15'000,
                                  .shorter_um = 0};
  const auto wrong = play(spec, shot_at_sixth());
  const auto right = play(metre_line(), shot_at_sixth());
  CHECK(has_befallen(wrong.rows[5].befell, Befell::kWrongContainer));
  CHECK(!has_befallen(wrong.rows.back().befell, Befell::kWrongContainer));
  CHECK(wrong.rows[5].landed_ug == right.rows[5].landed_ug);
  CHECK(wrong.rows[5].fill_ul == doctest::Approx(500'000).epsilon(0.01));
  CHECK(wrong.rows[5].equilibrium_pa != right.rows[5].equilibrium_pa);
  CHECK(wrong.rows.back() == right.rows.back());
}

TEST_CASE("containers: a shorter one is met later by the shot") {
  PlantSpec spec = metre_line();
  WrongContainer& wrong = spec.happens.wrong_container;
  wrong = {.share_ppm = 1'000'000,
           .at = Instant{0},
           .lasts = 600_s,
           .brimful_ml = 374.0,
           .fill_ml = 355.0,
           .rim_to_drink_um = 15'000,
           .shorter_um = 0};
  const auto level = play(spec, shot_at_sixth());
  wrong.shorter_um = 30'000;
  const auto deep = play(spec, shot_at_sixth());
  // 30 mm more at 2.2 to 2.4 m/s take some 13 ms, 13 mm of belt.
  const auto moved = deep.rows[5].landing_offset_um - level.rows[5].landing_offset_um;
  CHECK(moved > 11'000);
  CHECK(moved < 14'000);
}

TEST_CASE("pulses: lost ones are missing and doubled ones come twice") {
  PlantSpec spec = metre_line();
  spec.feed = 20_s;
  spec.line.controls.line_pulse_pitch_um = 25'000;
  const auto all = play(spec, {}).of(Channel::kLinePulse).size();
  spec.happens.of(MishapKind::kPulseLost) = {.share_ppm = 50'000};
  const auto lost = play(spec, {});
  CHECK(lost.of(Channel::kLinePulse).size() < all * 97 / 100);
  CHECK(lost.of(Channel::kLinePulse).size() > all * 92 / 100);
  CHECK(!met_by(lost, Befell::kPulseFault).empty());
  spec.happens.of(MishapKind::kPulseLost) = {};
  spec.happens.of(MishapKind::kPulseDoubled) = {.share_ppm = 50'000, .after = 2_ms};
  const auto doubled = play(spec, {}).of(Channel::kLinePulse);
  CHECK(doubled.size() > all * 103 / 100);
  CHECK(doubled.size() < all * 108 / 100);
  for (std::size_t i = 1; i < doubled.size(); ++i) CHECK(doubled[i].value != doubled[i - 1].value);
}

TEST_CASE("pulses: while the belt slips they tell more travel than containers make") {
  PlantSpec spec =
      metre_line_with(SpellKind::kSlip, {.at = Instant{3'000'000}, .lasts = 2_s, .amount = 20.0});
  spec.line.controls.line_pulse_pitch_um = 25'000;
  const auto run = play(spec, {});
  // At 1 m/s: 40 a second, and 50 a second for 2 s.
  CHECK(between(run, Channel::kLinePulse, Instant{2'000'000}, Instant{3'000'000}).size() == 40);
  CHECK(between(run, Channel::kLinePulse, Instant{3'001'000}, Instant{5'001'000}).size() == 100);
  CHECK(between(run, Channel::kLinePulse, Instant{6'000'000}, Instant{7'000'000}).size() == 40);
  CHECK(!met_by(run, Befell::kSlip).empty());
}

TEST_CASE("controls: the filler's signal says whether it feeds, where it is wired") {
  PlantSpec spec = metre_line();
  CHECK(play(spec, {}).of(Channel::kFillerRunning) ==
        Changes{{Instant{1'000}, Channel::kFillerRunning, 1}});
  spec.line.controls.filler_signal = true;
  spec.happens.stops = {{Instant{2'000'000}, 1_s, 500_ms, 1_s}};
  const auto running = play(spec, {}).of(Channel::kFillerRunning);
  REQUIRE(running.size() == 4);
  CHECK(running[1] == SignalChange{Instant{2'000'000}, Channel::kFillerRunning, 0});
  CHECK(running[2] == SignalChange{Instant{3'000'000}, Channel::kFillerRunning, 1});
  CHECK(running[3].at >= Instant{5'000'000});
}

TEST_CASE("signals: the safety chain, the link and the operator's buttons follow the scenario") {
  PlantSpec spec = metre_line();
  spec.happens.of(SpellKind::kSafetyOpen) = {{.at = Instant{2'000'000}, .lasts = 300_ms}};
  spec.happens.of(SpellKind::kLinkFlicker) = {{.at = Instant{2'500'000}, .lasts = 3_ms}};
  spec.happens.operator_acts = {{Instant{3'000'000}, Button::kStop, 0},
                                {Instant{3'500'000}, Button::kTestShots, 5}};
  const auto run = play(spec, {});
  CHECK(level_at(run, Channel::kSafetyChain, Instant{2'299'999}) == 0);
  CHECK(level_at(run, Channel::kSafetyChain, Instant{2'300'000}) == 1);
  CHECK(level_at(run, Channel::kLinkAlive, Instant{2'502'999}) == 0);
  CHECK(level_at(run, Channel::kLinkAlive, Instant{2'503'000}) == 1);
  CHECK(run.of(Channel::kOperatorStop) == Changes{{Instant{3'000'000}, Channel::kOperatorStop, 1},
                                                  {Instant{3'010'000}, Channel::kOperatorStop, 0}});
  CHECK(run.of(Channel::kOperatorTestShots) ==
        Changes{{Instant{3'500'000}, Channel::kOperatorTestShots, 5},
                {Instant{3'510'000}, Channel::kOperatorTestShots, 0}});
}

TEST_CASE("disturbances: however the run is cut into grants, all together give the same run") {
  PlantSpec spec = metre_line();
  spec.feed = 30_s;
  spec.line.controls.line_pulse_pitch_um = 25'000;
  spec.line.controls.line_stop_reaction_us = 50'000;
  spec.happens.stops = {{Instant{12'000'000}, 3_s, 200_ms, 1_s}};
  spec.happens.of(SpellKind::kJog) = {
      {.at = Instant{13'000'000}, .lasts = 1_s, .amount = -60'000.0}};
  spec.happens.of(SpellKind::kEmergencyStop) = {
      {.at = Instant{20'000'000}, .lasts = 1_s, .ramp = 1_s, .coast = 200_ms}};
  spec.happens.of(SpellKind::kSensorStuckHigh) = {{.per_hour = 400.0, .lasts = 200_ms}};
  spec.happens.of(SpellKind::kHunting) = {
      {.at = Instant{2'000'000}, .lasts = 8_s, .amount = 20.0, .period = 2_s}};
  spec.happens.of(MishapKind::kTakenBeforeSeam) = {.share_ppm = 50'000};
  spec.happens.of(MishapKind::kTakenBehindSeam) = {.share_ppm = 50'000};
  spec.happens.of(MishapKind::kPulseDoubled) = {.share_ppm = 50'000, .after = 2_ms};
  const std::vector<SignalChange> outputs{{Instant{10'000}, Channel::kLinePermit, 1},
                                          {Instant{20'000'000}, Channel::kLinePermit, 0},
                                          {Instant{22'000'000}, Channel::kLinePermit, 1}};
  test::ScriptedNode whole_node(outputs);
  test::ScriptedNode cut_node(outputs);
  const auto whole = test::record(spec, whole_node);
  const auto cut = test::record(spec, cut_node, GrantCut{.inputs_max = 7, .random = true});
  CHECK(whole.proof() == cut.proof());
  CHECK(whole.rows == cut.rows);
  CHECK(whole.rows.size() > 150);
}

TEST_CASE("filler: while it pauses nothing comes, and its signal says so") {
  PlantSpec spec = metre_line();
  spec.line.controls.filler_signal = true;
  spec.happens.of(SpellKind::kFeedPause) = {{.at = Instant{2'000'000}, .lasts = 1_s}};
  const auto run = play(spec, {});
  const auto usual = play(metre_line(), {});
  CHECK(run.rows.size() == usual.rows.size() - 10);  // 100 mm apart at 1 m/s
  for (const SignalChange& change : run.of(Channel::kFillerRunning)) {
    const bool pauses = Instant{2'000'000} <= change.at && change.at < Instant{3'000'000};
    if (pauses) CHECK(change.value == 0);
  }
  std::int64_t gap = 0;
  for (std::size_t n = 11; n < run.rows.size(); ++n) {
    gap = std::max(gap, run.rows[n].sensor_us - run.rows[n - 1].sensor_us);
  }
  CHECK(gap == 1'100'000);
}

TEST_CASE("operator: a second recipe is staged where it differs, and committed as a whole") {
  PlantSpec spec = metre_line();
  spec.recipe.set(Parameter::kDoseUg, 50'000);
  spec.recipe.set(Parameter::kFlightUs, 15'000);
  spec.happens.second_recipe = spec.recipe;
  spec.happens.second_recipe->set(Parameter::kDoseUg, 70'000);
  spec.happens.second_recipe->set(Parameter::kFlightUs, 0);
  spec.happens.operator_acts = {{Instant{2'000'000}, Button::kLoadRecipe, 0},
                                {Instant{3'000'000}, Button::kLoadRecipe, 0}};
  const auto run = play(spec, {});
  const auto dose = run.of(recipe_channel(slot(Parameter::kDoseUg)));
  REQUIRE(dose.size() == 2);
  CHECK(dose[1].at == Instant{2'000'000});
  CHECK(dose[1].value == 70'000);
  CHECK(run.of(recipe_channel(slot(Parameter::kFlightUs))).back().value == 0);
  const auto commits = run.of(Channel::kRecipeCommit);
  REQUIRE(commits.size() == 5);  // the first, then twice a fall and a rise
  CHECK(commits[2].at == Instant{2'000'001});
  CHECK(commits[2].value == spec.happens.second_recipe->commit_value());
  CHECK(commits[4].value == commits[2].value);
}
