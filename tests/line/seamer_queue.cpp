#include "plant_model/line/seamer_queue.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <vector>

#include "plant_model/line/upstream.hpp"
#include "tests/line/metre_line.hpp"

using namespace rimebench;
using test::metre_line_queued;

namespace {

/// Four heads 100 mm apart every 1.5 m, 40 containers a minute, so 250 mm/s; from 1.1 s on the
/// belt's travel in mm is a quarter of the time in ms less 150. A seamer of 1.2 s, 900 mm on.
PlantSpec four_at_once() {
  PlantSpec spec = metre_line_queued();
  spec.feed = 20_s;
  spec.container.body_um = 66'100;
  spec.line.filler = {.kind = FillerKind::kInline,
                      .heads = 4,
                      .head_pitch_um = 100'000,
                      .group_pitch_um = 1'500'000};
  spec.line.stations = {250'000, 400'000, 0, 900'000, 1'200'000, 1'800'000};
  spec.line.seamer = {1'200'000, 300'000, 600'000, 1'500'000};
  spec.speed = {{Instant{0}, 40.0}};
  return spec;
}

/// A seamer slower than the filler: 75 mm a cycle arrive, 60 mm fit.
PlantSpec slow_seamer() {
  PlantSpec spec = metre_line_queued();
  spec.feed = 60_s;
  spec.line.filler.pitch_um = 75'000;
  spec.speed = {{Instant{0}, 60.0}};
  spec.line.seamer = {1'500'000, 20'000, 50'000, 80'000};
  return spec;
}

/// The upstream half alone, with room for all its containers.
struct Belt {
  explicit Belt(const PlantSpec& line) : spec(line), upstream(spec, conveyed) {}

  void run(Duration until) { upstream.run(Instant{until.raw}, 1'000'000); }
  Length centre(std::int64_t number, Duration at) const {
    return upstream.centre_at(conveyed[number], Instant{at.raw});
  }

  PlantSpec spec;
  Conveyed conveyed{1024};
  Upstream upstream;
};

}  // namespace

TEST_CASE("seamer queue: the four of a group are taken 1.2 s apart, the first on its arrival") {
  // The first is 900 mm on at a travel of 1500 + 900 = 2400 mm: 10.2 s. It is seamed 0.6 s later.
  const auto rows = test::play(four_at_once(), {}).rows;
  REQUIRE(rows.size() >= 8);
  for (std::int64_t n = 0; n < 4; ++n) {
    const LedgerRow& row = rows[static_cast<std::size_t>(n)];
    CHECK(row.container == n + 1);
    CHECK(row.place == n + 1);
    CHECK(row.lid_us == 10'500'000 + n * 1'200'000);
    CHECK(row.seam_us == 10'800'000 + n * 1'200'000);
  }
  CHECK(rows[4].seam_us == 16'800'000);
}

TEST_CASE("seamer queue: each place of a group waits 0.8 s longer than the one before") {
  // They pass the nozzle 100 mm, so 0.4 s apart, and are seamed 1.2 s apart. A shot of 20 ms around
  // each container's 400 mm: travel 1900 mm, 8.2 s, for the first.
  std::vector<SignalChange> outputs;
  for (std::int64_t n = 0; n < 4; ++n) {
    const std::int64_t under_nozzle = 8'200'000 + n * 400'000;
    outputs.push_back(test::valve(under_nozzle - 30'000, true));
    outputs.push_back(test::valve(under_nozzle - 10'000, false));
  }
  const auto rows = test::play(four_at_once(), outputs).rows;
  REQUIRE(rows.size() >= 4);
  for (std::int64_t n = 0; n < 4; ++n) {
    const LedgerRow& row = rows[static_cast<std::size_t>(n)];
    CHECK(row.shots == 1);
    CHECK(row.wait_us == row.seam_us - row.landing_us);
    CHECK(row.wait_us - rows[0].wait_us == n * 800'000);
  }
}

TEST_CASE("seamer queue: those that wait stand one body apart and do not move") {
  Belt belt(four_at_once());
  belt.run(11'300_ms);
  // The second has stood at the seamer since 10.6 s, the others touch it: 900 - 66.1, - 132.2 mm.
  for (const Duration at : {10'880_ms, 11'000_ms, 11'299_ms}) {
    CHECK(belt.centre(2, at) == Length{900'000});
    CHECK(belt.centre(3, at) == Length{833'900});
    CHECK(belt.centre(4, at) == Length{767'800});
  }
  // On the way there it went with the belt.
  CHECK(belt.centre(4, 10'000_ms) == Length{2'350'000 - 1'800'000});
}

TEST_CASE("seamer queue: when one is taken the rest move up as a block and stand again") {
  Belt belt(four_at_once());
  belt.run(13_s);
  // The second is taken at 11.4 s; 66.1 mm take 264.4 ms.
  CHECK(belt.centre(3, 11'400_ms) == Length{833'900});
  CHECK(belt.centre(3, 11'500_ms) == Length{858'900});
  CHECK(belt.centre(4, 11'500_ms) == Length{792'800});
  for (const Duration at : {11'665_ms, 12'000_ms, 12'600_ms}) {
    CHECK(belt.centre(3, at) == Length{900'000});
    CHECK(belt.centre(4, at) == Length{833'900});
  }
}

TEST_CASE("seamer queue: a seamer that keeps up makes nobody wait") {
  const auto rows = test::play(metre_line_queued(), {}).rows;
  REQUIRE(rows.size() > 10);
  for (std::size_t i = 5; i < rows.size(); ++i) {
    CHECK(rows[i].seam_us == test::passes(rows[i].container, 1'000'000).us + 50'000);
  }
}

TEST_CASE("seamer queue: a slow seamer's tail reaches back past the nozzle, nobody overlaps") {
  Belt belt(slow_seamer());
  belt.run(60_s);
  const std::int64_t last = belt.conveyed.last();
  const Length body{belt.spec.container.body_um};
  bool stood_before_nozzle = false;
  for (Duration at = 20_s; at < 60_s; at += 370_ms) {
    for (std::int64_t n = 2; n <= last; ++n) {
      if (belt.centre(n, at) < 0_mm) break;  // not released yet
      const bool taken = belt.conveyed[n - 1].seam <= Instant{at.raw} + 50_ms;
      if (!taken) CHECK(belt.centre(n - 1, at) - belt.centre(n, at) >= body - 1_um);
      stood_before_nozzle |= !belt.conveyed[n].holds.empty() &&
                             belt.centre(n, at) < Length{belt.spec.line.stations.nozzle_um};
    }
  }
  CHECK(stood_before_nozzle);
}

TEST_CASE("seamer queue: behind a slow seamer the filler is held to the seamer's pace") {
  Belt belt(slow_seamer());
  belt.run(60_s);
  // 59.4 places passed; one container each 1.5 s was taken, from about 14.5 s on, and 15 to 18 wait
  // on the 900 mm or so before the seamer.
  std::int64_t taken = 0;
  Instant before{};
  for (std::int64_t n = 1; n <= belt.conveyed.last(); ++n) {
    const Carried& container = belt.conveyed[n];
    if (!container.taken) break;
    if (n > 1) CHECK(container.seam - before >= 1'500_ms);
    if (n > 3) CHECK(container.seam - before == 1'500_ms);
    before = container.seam;
    ++taken;
  }
  const std::int64_t waiting = belt.conveyed.last() - taken;
  CHECK(waiting >= 15);
  CHECK(waiting <= 17);
}

TEST_CASE("seamer queue: while the line stands, the outfeed takes one container only") {
  PlantSpec spec = four_at_once();
  spec.happens.stops = {{Instant{11'500'000}, 10_s, 10_ms, 1_s}};
  const auto run = test::play(spec, {});
  std::int32_t level = 0;
  std::size_t rising = 0;
  for (const SignalChange& change : run.of(Channel::kDischargeSensor)) {
    CHECK(change.value != level);
    level = change.value;
    rising += change.value == 1 ? 1 : 0;
  }
  CHECK(rising == run.rows.size());
  // The first leaves at 11.7 s and stands on the outfeed until the belt moves again at 21.5 s.
  const auto discharge = run.of(Channel::kDischargeSensor);
  REQUIRE(discharge.size() > 4);
  CHECK(discharge[0].at == Instant{11'700'000});
  CHECK(discharge[1].at > Instant{21'500'000});
  CHECK(discharge[2].at == discharge[1].at + 1_us);
}
