#include "plant_model/line/drive.hpp"

#include <doctest/doctest.h>

#include "tests/line/metre_line.hpp"

using namespace rimebench;
using test::metre_line;

namespace {

/// The drive, taken to the segment that holds `at`. Each segment begins where the last one ended.
Drive& reach(Drive& drive, Instant at) {
  while (drive.segment().to <= at) {
    const Instant ended = drive.segment().to;
    drive.next_segment();
    CHECK(drive.segment().from == ended);
    CHECK(drive.segment().to > ended);
  }
  return drive;
}

Length travel(Drive& drive, Duration at) {
  return reach(drive, Instant{at.raw}).travel_at(Instant{at.raw});
}

bool permit(Drive& drive, Duration at) { return reach(drive, Instant{at.raw}).permit(); }

PlantSpec stopped_at_3_s() {
  PlantSpec spec = metre_line();
  spec.happens.stops = {{Instant{3'000'000}, 5_s, 2_s, 4_s}};
  return spec;
}

}  // namespace

TEST_CASE("drive: from rest the travel is a t^2 / 2, then v t") {
  // Galilei: in the first half of an even acceleration a quarter of its way is done.
  const PlantSpec spec = metre_line();
  Drive drive(spec);
  CHECK(travel(drive, 100_ms) == 0_mm);
  CHECK(travel(drive, 600_ms) == 125_mm);
  CHECK(travel(drive, 1'100_ms) == 500_mm);
  CHECK(travel(drive, 2'100_ms) == 1'500_mm);
  CHECK(travel(drive, 100'100_ms) == 99'500_mm);
}

TEST_CASE("drive: between two knots the speed is linear and after the last it holds") {
  PlantSpec spec = metre_line();
  spec.speed = {{Instant{0}, 600.0}, {Instant{2'100'000}, 600.0}, {Instant{4'100'000}, 1'200.0}};
  Drive drive(spec);
  CHECK(travel(drive, 2'100_ms) == 1'500_mm);
  CHECK(travel(drive, 3'100_ms) == 2'750_mm);
  CHECK(travel(drive, 4'100_ms) == 4'500_mm);
  CHECK(travel(drive, 5'100_ms) == 6'500_mm);
}

TEST_CASE("drive: a profile that slows to nothing takes the permit away once it stands") {
  PlantSpec spec = metre_line();
  spec.speed = {{Instant{0}, 600.0},
                {Instant{2'100'000}, 600.0},
                {Instant{4'100'000}, 0.0},
                {Instant{6'100'000}, 0.0},
                {Instant{8'100'000}, 600.0}};
  Drive drive(spec);
  CHECK(permit(drive, 4'000_ms));
  CHECK(travel(drive, 4'100_ms) == 2'500_mm);
  CHECK(!permit(drive, 5'000_ms));
  CHECK(travel(drive, 6'100_ms) == 2'500_mm);
  CHECK(permit(drive, 6'200_ms));
  CHECK(travel(drive, 8'100_ms) == 3'500_mm);
}

TEST_CASE("drive: a stop coasts to rest, stands, and ramps up after the permit's return") {
  const PlantSpec spec = stopped_at_3_s();
  Drive drive(spec);
  CHECK(permit(drive, 2'999_ms));
  CHECK(travel(drive, 3_s) == 2'400_mm);
  CHECK(!permit(drive, 3_s));
  CHECK(travel(drive, 4_s) == 3'150_mm);
  CHECK(travel(drive, 5_s) == 3'400_mm);
  CHECK(travel(drive, 7'999_ms) == 3'400_mm);
  CHECK(!permit(drive, 7'999_ms));
  CHECK(permit(drive, 8_s));
  CHECK(travel(drive, 10_s) == 3'900_mm);
  CHECK(travel(drive, 12_s) == 5'400_mm);
  CHECK(travel(drive, 13_s) == 6'400_mm);
}

TEST_CASE("drive: a mark is dated to the microsecond, and not beyond the present segment") {
  const PlantSpec spec = stopped_at_3_s();
  Drive drive(spec);
  reach(drive, Instant{2'000'000});
  CHECK(drive.time_of(2'000_mm, Instant{0}) == Instant{2'600'000});
  CHECK(drive.time_of(2'401_mm, Instant{0}) == kNever);
  CHECK(drive.time_of(1'000_mm, Instant{2'000'000}) == Instant{2'000'000});
  // Braking from 1 m/s at 0.5 m/s^2: 750 mm are done after 1 s, the last 0 mm never.
  reach(drive, Instant{3'000'000});
  CHECK(drive.time_of(3'150_mm, Instant{0}) == Instant{4'000'000});
  CHECK(drive.time_of(3'401_mm, Instant{0}) == kNever);
}

TEST_CASE("drive: a stop in the middle of a ramp coasts from the speed reached so far") {
  PlantSpec spec = metre_line();
  spec.happens.stops = {{Instant{600'000}, 3_s, 1_s, 1_s}};
  Drive drive(spec);
  CHECK(travel(drive, 600_ms) == 125_mm);
  CHECK(travel(drive, 1'600_ms) == 375_mm);
  CHECK(travel(drive, 3'600_ms) == 375_mm);
  CHECK(travel(drive, 4'600_ms) == 875_mm);
}

TEST_CASE("drive: a stop that falls in a standstill extends it") {
  PlantSpec spec = metre_line();
  spec.happens.stops = {{Instant{0}, 3_s, 1_s, 1_s}, {Instant{3'000'000}, 2_s, 1_s, 1_s}};
  Drive drive(spec);
  for (const Duration at : {0_s, 200_ms, 3_s, 4'999_ms}) {
    CHECK(!permit(drive, at));
    CHECK(travel(drive, at) == 0_mm);
  }
  CHECK(permit(drive, 5_s));
  CHECK(travel(drive, 6_s) == 500_mm);
}

TEST_CASE("drive: a line halted for good coasts half a second and never moves again") {
  const PlantSpec spec = metre_line();
  Drive drive(spec);
  reach(drive, Instant{2'000'000}).halt(Instant{2'000'000});
  CHECK(!drive.permit());
  CHECK(travel(drive, 2'500_ms) == 1'650_mm);
  CHECK(travel(drive, 100_s) == 1'650_mm);
  CHECK(drive.segment().to == kNever);
}

TEST_CASE("drive: what was forgotten is gone, what was kept stays where it was") {
  const PlantSpec spec = stopped_at_3_s();
  Drive drive(spec);
  reach(drive, Instant{9'000'000});
  drive.forget_before(Instant{4'000'000});
  CHECK(drive.travel_at(Instant{4'000'000}) == 3'150_mm);
  CHECK(drive.travel_at(Instant{6'000'000}) == 3'400_mm);
}
