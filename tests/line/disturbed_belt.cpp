#include <doctest/doctest.h>

#include "plant_model/line/drive.hpp"
#include "tests/line/befell.hpp"

using namespace rimebench;
using test::between;
using test::level_at;
using test::met_by;
using test::metre_line;
using test::metre_line_with;
using test::play;

namespace {

using Changes = std::vector<SignalChange>;

Length travel(const PlantSpec& spec, Duration at) {
  Drive drive(spec);
  while (drive.segment().to <= Instant{at.raw}) drive.next_segment();
  return drive.travel_at(Instant{at.raw});
}

bool permit(const PlantSpec& spec, Duration at) {
  Drive drive(spec);
  while (drive.segment().to <= Instant{at.raw}) drive.next_segment();
  return drive.permit();
}

/// Stops at 3 s with all at 2.4 m, stands from 3.2 s on, runs again from 8 s.
PlantSpec stopped_line() {
  PlantSpec spec = metre_line();
  spec.feed = 20_s;
  spec.happens.stops = {{Instant{3'000'000}, 5_s, 200_ms, 1_s}};
  return spec;
}

}  // namespace

TEST_CASE("belt: a creep slows it to its share and back, and the permit stays") {
  // 2.1 s: 1.5 m. Within 1 s from 1 to 0.1 m/s: 0.55 m; 2 s at 0.1 m/s; back: 0.55 m.
  const PlantSpec spec = metre_line_with(
      SpellKind::kCreep, {.at = Instant{2'100'000}, .lasts = 3_s, .amount = 10.0, .ramp = 1_s});
  CHECK(travel(spec, 2'100_ms) == 1'500_mm);
  CHECK(travel(spec, 3'100_ms) == 2'050_mm);
  CHECK(travel(spec, 5'100_ms) == 2'250_mm);
  CHECK(travel(spec, 6'100_ms) == 2'800_mm);
  CHECK(travel(spec, 7'100_ms) == 3'800_mm);
  CHECK(permit(spec, 4_s));
}

TEST_CASE("belt: in a jam it stands and the line does not know") {
  const PlantSpec spec = metre_line_with(
      SpellKind::kCreep, {.at = Instant{2'100'000}, .lasts = 3_s, .amount = 0.0, .ramp = 1_s});
  CHECK(travel(spec, 3'100_ms) == travel(spec, 5'100_ms));
  CHECK(permit(spec, 4_s));
  const auto run = play(spec, {});
  CHECK(run.of(Channel::kRunPermit).size() == 1);
  CHECK(run.result.end > Instant{10'000'000});
}

TEST_CASE("belt: a step is made at once, and undone") {
  const PlantSpec spec =
      metre_line_with(SpellKind::kSpeedStep,
                      {.at = Instant{2'100'000}, .lasts = 2_s, .amount = 150.0, .ramp = 1_ms});
  // Half a millisecond's worth of the difference each time.
  CHECK(travel(spec, 4'100_ms).raw == doctest::Approx(4'500'000).epsilon(0.0002));
  CHECK(travel(spec, 5'100_ms).raw == doctest::Approx(5'500'000).epsilon(0.0002));
}

TEST_CASE("belt: hunting swings about the speed and loses no way over whole periods") {
  const PlantSpec spec = metre_line_with(
      SpellKind::kHunting, {.at = Instant{2'100'000}, .lasts = 4_s, .amount = 20.0, .period = 2_s});
  // Half a period more of 20 % of a sine: 0.2 * 2 s / pi = 127 mm; the polygon lies 1 % inside.
  CHECK(travel(spec, 3'100_ms).raw == doctest::Approx(2'500'000 + 126'000).epsilon(0.001));
  CHECK(travel(spec, 4'100_ms).raw == doctest::Approx(3'500'000).epsilon(0.00001));
  CHECK(travel(spec, 6'100_ms).raw == doctest::Approx(5'500'000).epsilon(0.00001));
}

TEST_CASE("belt: the greatest speed counts steps and hunting in") {
  PlantSpec spec = metre_line();
  CHECK(fastest_um_per_s(spec) == doctest::Approx(1e6));
  spec.happens.of(SpellKind::kSpeedStep) = {
      {.at = Instant{2'000'000}, .lasts = 1_s, .amount = 150.0}};
  spec.happens.of(SpellKind::kHunting) = {{.at = Instant{2'000'000}, .lasts = 1_s, .amount = 10.0}};
  CHECK(fastest_um_per_s(spec) == doctest::Approx(1.65e6));
}

TEST_CASE("belt: a jog moves what stands, without a permit") {
  PlantSpec spec = stopped_line();
  spec.happens.of(SpellKind::kJog) = {{.at = Instant{5'000'000}, .lasts = 1_s, .amount = 50'000.0}};
  CHECK(travel(spec, 5_s) == 2'500_mm);
  CHECK(travel(spec, 6_s) == 2'550_mm);
  CHECK(travel(spec, 8_s) == 2'550_mm);
  CHECK(!permit(spec, 5'500_ms));
  const auto run = play(spec, {});
  CHECK(!met_by(run, Befell::kJog).empty());
  CHECK(met_by(run, Befell::kJog).size() < run.rows.size() / 4);
}

TEST_CASE("belt: turned back by hand it goes back as far as it was turned") {
  PlantSpec spec = stopped_line();
  spec.happens.of(SpellKind::kJog) = {
      {.at = Instant{5'000'000}, .lasts = 2_s, .amount = -20'000.0}};
  CHECK(travel(spec, 5_s) == 2'500_mm);
  CHECK(travel(spec, 7_s) == 2'460_mm);
  CHECK(travel(spec, 9_s) == 2'960_mm);
}

TEST_CASE("belt: turned back, containers pass the sensor again and pulses count the way twice") {
  PlantSpec spec = stopped_line();
  spec.line.controls.line_pulse_pitch_um = 25'000;
  // At 2.5 m container 22 has its centre at the sensor: 2500 - 2200 = 300 mm. 100 mm back and on.
  spec.happens.of(SpellKind::kJog) = {
      {.at = Instant{5'000'000}, .lasts = 2_s, .amount = -50'000.0}};
  const auto run = play(spec, {});
  const auto back = between(run, Channel::kContainerSensor, Instant{4'000'000}, Instant{7'500'000});
  // Its leading edge clears the sensor after 30 mm, and 40 mm further number 21 comes back.
  REQUIRE(back.size() == 2);
  CHECK(back[0] == SignalChange{Instant{5'600'720}, Channel::kContainerSensor, 0});
  CHECK(back[1] == SignalChange{Instant{6'400'520}, Channel::kContainerSensor, 1});
  CHECK(between(run, Channel::kLinePulse, Instant{4'900'000}, Instant{7'100'000}).size() == 4);
  CHECK(level_at(run, Channel::kContainerSensor, run.result.end) == 0);
  for (std::size_t i = 1; i < run.rows.size(); ++i) {
    CHECK(run.rows[i].gate_us > run.rows[i - 1].gate_us);
  }
  // The way back is one container less in the time of the feed.
  CHECK(run.rows.size() + 1 == play(stopped_line(), {}).rows.size());
  CHECK(met_by(run, Befell::kReverse).count(22) == 1);
}

TEST_CASE("belt: an emergency opens the chain, and the operator starts the line again") {
  const PlantSpec spec =
      metre_line_with(SpellKind::kEmergencyStop,
                      {.at = Instant{3'000'000}, .lasts = 2_s, .ramp = 1_s, .coast = 100_ms}, 20_s);
  const auto run = play(spec, {});
  const auto chain = run.of(Channel::kSafetyChain);
  REQUIRE(chain.size() == 3);
  CHECK(chain[1] == SignalChange{Instant{3'000'000}, Channel::kSafetyChain, 0});
  CHECK(chain[2] == SignalChange{Instant{5'000'000}, Channel::kSafetyChain, 1});
  const auto resets = between(run, Channel::kOperatorReset, Instant{4'000'000}, Instant{9'000'000});
  REQUIRE(resets.size() == 4);
  CHECK(resets[0].at == Instant{6'000'000});
  CHECK(resets[2].at == Instant{7'000'000});
  CHECK(level_at(run, Channel::kOperatorStart, Instant{8'005'000}) == 1);
  CHECK(level_at(run, Channel::kRunPermit, Instant{8'999'999}) == 0);
  CHECK(level_at(run, Channel::kRunPermit, Instant{9'000'000}) == 1);
  CHECK(!met_by(run, Befell::kEmergencyStop).empty());
}

TEST_CASE("belt: a line without its permit stands until the permit is back") {
  PlantSpec spec = metre_line();
  spec.feed = 20_s;
  spec.line.controls.line_stop_reaction_us = 50'000;
  const auto line_permit = [](std::int64_t at_us, std::int32_t value) {
    return SignalChange{Instant{at_us}, Channel::kLinePermit, value};
  };
  const auto halted = play(spec, {line_permit(10'000, 1), line_permit(3'000'000, 0)});
  const auto resumed =
      play(spec, {line_permit(10'000, 1), line_permit(3'000'000, 0), line_permit(3'900'000, 1)});
  CHECK(halted.of(Channel::kRunPermit).size() == 2);
  CHECK(resumed.of(Channel::kRunPermit) == Changes{{Instant{100'000}, Channel::kRunPermit, 1},
                                                   {Instant{3'050'000}, Channel::kRunPermit, 0},
                                                   {Instant{4'950'000}, Channel::kRunPermit, 1}});
  CHECK(resumed.rows.size() > 4 * halted.rows.size());
}

TEST_CASE("belt: the permit given back while the belt still coasts lets it stop first") {
  PlantSpec spec = metre_line();
  spec.feed = 20_s;
  spec.line.controls.line_stop_reaction_us = 50'000;
  const std::vector<SignalChange> outputs{{Instant{10'000}, Channel::kLinePermit, 1},
                                          {Instant{3'000'000}, Channel::kLinePermit, 0},
                                          {Instant{3'000'010}, Channel::kLinePermit, 1}};
  const auto run = play(spec, outputs);
  // 50 ms to react, 500 ms to coast, a second until it starts again.
  CHECK(level_at(run, Channel::kRunPermit, Instant{4'549'999}) == 0);
  CHECK(level_at(run, Channel::kRunPermit, Instant{4'550'000}) == 1);
}

TEST_CASE("belt: stops drawn at a rate come at that rate, as long as they may, and never overlap") {
  PlantSpec spec = metre_line();
  spec.feed = 7'200_s;
  spec.happens.stops = {
      {Instant{3'600'000'000}, 600_s, 1_s, 3_s},
      {.at = kNever, .lasts = 5_s, .coast = 1_s, .ramp = 3_s, .per_hour = 30.0, .lasts_max = 20_s}};
  const std::vector<LineStop> stops = all_stops(spec);
  // 30 an hour of what is not a stop, some 1.5 hours: 45, give or take 5 deviations.
  CHECK(stops.size() > 12);
  CHECK(stops.size() < 80);
  Instant free_from{0};
  for (const LineStop& stop : stops) {
    CHECK(stop.at >= free_from);
    free_from = stop.at + stop.lasts + stop.ramp;
    if (stop.lasts != 600_s) {
      CHECK(stop.lasts >= 5_s);
      CHECK(stop.lasts <= 20_s);
    }
  }
  CHECK(
      std::any_of(stops.begin(), stops.end(), [](const LineStop& s) { return s.lasts == 600_s; }));
}
