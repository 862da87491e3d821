#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "tests/line/metre_line.hpp"

using namespace rimebench;
using test::metre_line;
using test::passes;
using test::play;

namespace {

/// A command of 20 ms flows for 20 - 8 + 6 = 18 ms; its middle leaves the nozzle 17 ms after the
/// command and reaches the drink, 35 mm down at 2.21 m/s, another 15.3166 ms later (rounded up).
constexpr std::int64_t kOpen = 20'000;
constexpr std::int64_t kLead = 8'000 + 9'000 + 15'317;

/// A shot whose middle lands `late_us` after the centre of container `number` is under the nozzle.
std::vector<SignalChange> shot_for(std::int64_t number, std::int64_t late_us) {
  const std::int64_t at = passes(number, 500'000).us - kLead + late_us;
  return {test::valve(at, true), test::valve(at + kOpen, false)};
}

/// The row of container 8 after a shot that lands `late_us` late for it.
LedgerRow dosed(const PlantSpec& spec, std::int64_t late_us) {
  return play(spec, shot_for(8, late_us)).rows[7];
}

/// A hair of a jet and a drink level with the rim: what is caught is plain geometry.
PlantSpec thin_jet() {
  PlantSpec spec = metre_line();
  spec.line.nozzle.jet_diameter_um = 100;
  spec.product.rim_to_drink_um = 0;
  return spec;
}

/// The drink is nearer: 20 mm at 2.21 m/s take 8.8750 ms.
constexpr std::int64_t kSoonerUs = 15'317 - 8'876;

}  // namespace

TEST_CASE("landing: a body thrown down at 2.21 m/s falls 35 mm in 15.317 ms") {
  // t = (sqrt(v^2 + 2 g h) - v) / g with g = 9.80665 m/s^2 (CGPM 1901).
  const double g = 9.80665;
  const double fall = (std::sqrt(2.21 * 2.21 + 2.0 * g * 0.035) - 2.21) / g;
  CHECK(std::ceil(fall * 1e6) == 15'317.0);
  const LedgerRow row = dosed(metre_line(), 0);
  CHECK(row.landing_us == passes(8, 500'000).us);
}

TEST_CASE("landing: the valve moves its delays after the commands, and flows in between") {
  const auto run = play(metre_line(), shot_for(8, 0));
  const Instant command = passes(8, 500'000) - Duration{kLead};
  const auto moves = run.of(Channel::kValveActual);
  REQUIRE(moves.size() == 2);
  CHECK(moves[0] == SignalChange{command + 8_ms, Channel::kValveActual, 1});
  CHECK(moves[1] == SignalChange{command + 26_ms, Channel::kValveActual, 0});
  // 18 ms at 3.5 g/s.
  CHECK(run.rows[7].nozzle_ug == 63'000);
  CHECK(run.rows[7].shots == 1);
}

TEST_CASE("landing: flash, flight and splash each take their share of what is left") {
  // 63 mg (1 - 0.01) (1 - 0.02) (1 - 0.03) = 59.289 mg.
  CHECK(dosed(metre_line(), 0).landed_ug == 59'289);
}

TEST_CASE("landing: late liquid lands behind the centre, a millimetre for each millisecond") {
  for (const std::int64_t late : {-7'000, 0, 5'000}) {
    const LedgerRow row = dosed(metre_line(), late);
    CHECK(row.landing_offset_um == late);
    CHECK(row.landing_us == passes(8, 500'000).us + late);
    CHECK(row.captured_ppm == 1'000'000);
  }
}

TEST_CASE("landing: a streak of 18 mm whose middle is over the rim is caught by half") {
  const LedgerRow behind = dosed(thin_jet(), 25'000 + kSoonerUs);
  CHECK(behind.landing_offset_um == 25'000);
  CHECK(std::abs(behind.captured_ppm - 500'000) < 3'000);
  const LedgerRow ahead = dosed(thin_jet(), -25'000 + kSoonerUs);
  CHECK(std::abs(ahead.captured_ppm - 500'000) < 3'000);
}

TEST_CASE("landing: the part of a streak that reaches in is caught, the rest is lost") {
  // Middle 30 mm behind, 9 mm each way, radius 25 mm: 4 of 18 mm lie inside.
  const LedgerRow row = dosed(thin_jet(), 30'000 + kSoonerUs);
  CHECK(std::abs(row.captured_ppm - 222'222) < 3'000);
  const double landed = 63'000.0 * 0.941094 * static_cast<double>(row.captured_ppm) / 1e6;
  CHECK(static_cast<double>(row.landed_ug) == doctest::Approx(landed).epsilon(1e-4));
}

TEST_CASE("landing: liquid that clears the rim may still miss a drink further down") {
  // At the rim the streak's middle is 13.6 mm behind, all inside; 15 mm further down 20 mm: 14 of
  // 18 mm are inside.
  PlantSpec spec = thin_jet();
  spec.product.rim_to_drink_um = 15'000;
  const LedgerRow row = dosed(spec, 20'000);
  CHECK(std::abs(row.captured_ppm - 777'778) < 3'000);
}

TEST_CASE("landing: a nozzle 24 mm beside a 50 mm opening catches 14 of 18 mm") {
  // The chord is 2 sqrt(25^2 - 24^2) = 14 mm long.
  PlantSpec spec = thin_jet();
  spec.line.nozzle.lateral_um = 24'000;
  CHECK(std::abs(dosed(spec, kSoonerUs).captured_ppm - 777'778) < 3'000);
  spec.line.nozzle.lateral_um = 26'000;
  const LedgerRow missed = dosed(spec, kSoonerUs);
  CHECK(missed.shots == 1);
  CHECK(missed.captured_ppm == 0);
  CHECK(missed.landed_ug == 0);
}

TEST_CASE("landing: a shot between two containers is nobody's, and the witness names it") {
  const auto run = play(metre_line(), shot_for(8, 50'000));
  const auto landings = run.of(Channel::kLanding);
  REQUIRE(landings.size() == 1);
  CHECK(landings[0].value == -1);
  for (const LedgerRow& row : run.rows) CHECK(row.shots == 0);
}

TEST_CASE("landing: a laid lid takes nothing more") {
  // The lid is laid 5 mm behind the nozzle; the first liquid lands 11 mm behind it.
  PlantSpec spec = metre_line();
  spec.line.stations.lid_um = 505'000;
  const LedgerRow row = dosed(spec, 20'000);
  CHECK(row.shots == 1);
  CHECK(row.nozzle_ug > 0);
  CHECK(row.landed_ug == 0);
  CHECK(row.sealed_ug == 0);
}

TEST_CASE("landing: two shots in one container are counted and add up") {
  PlantSpec spec = metre_line();
  spec.line.valve.open_delay_us = spec.line.valve.close_delay_us = 0;
  const std::int64_t at = passes(8, 500'000).us - 15'317;
  const auto run = play(spec, {test::valve(at - 10'000, true), test::valve(at - 5'000, false),
                               test::valve(at + 5'000, true), test::valve(at + 15'000, false)});
  const LedgerRow& row = run.rows[7];
  CHECK(row.shots == 2);
  CHECK(row.nozzle_ug == 15'000 * 35 / 10);
  CHECK(row.landing_us == passes(8, 500'000).us - 7'500);
  CHECK(row.landing_offset_um == -7'500);
}

TEST_CASE("landing: a command shorter than the valve can follow lets next to nothing through") {
  // Shut 6 ms after its end, before it would have opened: the valve only touches.
  const std::int64_t at = passes(8, 500'000).us - kLead;
  const auto run = play(metre_line(), {test::valve(at, true), test::valve(at + 1'000, false)});
  const auto moves = run.of(Channel::kValveActual);
  REQUIRE(moves.size() == 2);
  CHECK(moves[1].at - moves[0].at == 1_us);
}

TEST_CASE("landing: delays scatter as told, and by no more than three deviations") {
  PlantSpec spec = metre_line();
  spec.line.valve.jitter_sd_us = 500;
  spec.feed = 300_s;
  std::vector<SignalChange> outputs;
  constexpr int kShots = 2'000;
  for (std::int64_t i = 0; i < kShots; ++i) {
    outputs.push_back(test::valve(1'000'000 + i * 100'000, true));
    outputs.push_back(test::valve(1'000'000 + i * 100'000 + kOpen, false));
  }
  const auto moves = play(spec, outputs).of(Channel::kValveActual);
  REQUIRE(moves.size() == outputs.size());
  double squares = 0.0;
  for (std::size_t i = 0; i < moves.size(); ++i) {
    const std::int64_t delay = (moves[i].at - outputs[i].at).raw;
    const std::int64_t error = delay - (i % 2 == 0 ? 8'000 : 6'000);
    CHECK(std::abs(error) <= 1'500);
    squares += static_cast<double>(error * error);
  }
  // The estimate of the deviation from 4000 is good to 1.1 %, here taken four times.
  CHECK(std::sqrt(squares / (2.0 * kShots)) == doctest::Approx(498.7).epsilon(0.045));
}

TEST_CASE("landing: under a valve that stays open each opening catches its own way of the stream") {
  // 3.5 g/s over 50 mm at 1 m/s are 175 mg, of which 94.1 % land.
  PlantSpec spec = thin_jet();
  spec.feed = 15_s;
  const auto run = play(spec, {test::valve(2'000'000, true), test::valve(12'000'000, false)});
  std::int64_t nozzle_ug = 0;
  for (const LedgerRow& row : run.rows) nozzle_ug += row.nozzle_ug;
  CHECK(nozzle_ug > 17'000'000);
  CHECK(nozzle_ug <= 34'993'000);  // 9.998 s at 3.5 g/s: nothing counts twice
  for (std::int64_t n = 15; n < 105; ++n) {
    const LedgerRow& row = run.rows[static_cast<std::size_t>(n - 1)];
    CHECK(row.shots == 1);
    CHECK(static_cast<double>(row.landed_ug) == doctest::Approx(164'691.0).epsilon(0.01));
  }
}
