#include "plant_model/line/filler.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "tests/line/metre_line.hpp"

using namespace rimebench;
using test::metre_line;

namespace {

PlantSpec four_heads() {
  PlantSpec spec = metre_line();
  spec.line.filler = {.kind = FillerKind::kInline,
                      .heads = 4,
                      .head_pitch_um = 100'000,
                      .group_pitch_um = 1'500'000};
  return spec;
}

std::vector<std::int64_t> positions(const PlantSpec& spec, int releases) {
  Conveyed conveyed(1 << 17);
  Filler filler(spec);
  for (int i = 0; i < releases; ++i) filler.release(conveyed, Instant{0});
  std::vector<std::int64_t> found;
  for (std::int64_t n = 1; n <= conveyed.last(); ++n) found.push_back(conveyed[n].position);
  return found;
}

}  // namespace

TEST_CASE("filler: a rotary filler lets one container go each pitch") {
  const PlantSpec spec = metre_line();
  Conveyed conveyed(16);
  Filler filler(spec);
  for (std::int64_t n = 1; n <= 10; ++n) {
    CHECK(filler.next_release() == Length{n * 100'000});
    filler.release(conveyed, Instant{0});
    CHECK(conveyed.last() == n);
    CHECK(conveyed[n].offset == Length{n * 100'000});
    CHECK(conveyed[n].row.group == 0);
    CHECK(conveyed[n].row.place == 1);
  }
}

TEST_CASE("filler: pitch errors have the given deviation and never exceed three of them") {
  PlantSpec spec = metre_line();
  spec.line.filler.pitch_sd_um = 1'000;
  Conveyed conveyed(1 << 14);
  Filler filler(spec);
  double squares = 0.0;
  constexpr std::int64_t kContainers = 10'000;
  for (std::int64_t n = 1; n <= kContainers; ++n) {
    filler.release(conveyed, Instant{0});
    const auto error = static_cast<double>(conveyed[n].offset.raw - n * 100'000);
    CHECK(std::abs(error) <= 3'000.0);
    squares += error * error;
  }
  // Held at three deviations, a normal keeps 0.9950 of its variance. The estimate of the deviation
  // from 10 000 is good to 0.7 %, here taken four times.
  CHECK(std::sqrt(squares / kContainers) == doctest::Approx(997.5).epsilon(0.028));
}

TEST_CASE("filler: the share of missing containers is the one asked for") {
  PlantSpec spec = metre_line();
  spec.happens.missing_share_ppm = 50'000;
  const auto there = static_cast<double>(positions(spec, 100'000).size());
  // Binomial: 95 000 with a deviation of 69, four of them allowed.
  CHECK(std::abs(there - 95'000.0) < 276.0);
}

TEST_CASE("filler: a missing container leaves its place empty, the next comes one pitch later") {
  PlantSpec spec = metre_line();
  spec.happens.missing_share_ppm = 500'000;
  Conveyed conveyed(256);
  Filler filler(spec);
  for (int i = 0; i < 100; ++i) filler.release(conveyed, Instant{0});
  CHECK(conveyed.last() < 100);
  for (std::int64_t n = 1; n <= conveyed.last(); ++n) {
    CHECK(conveyed[n].offset == Length{(conveyed[n].position + 1) * 100'000});
    CHECK(conveyed[n].row.container == n);
  }
}

TEST_CASE("filler: four heads let four go at once, the first nearest the seamer") {
  const PlantSpec spec = four_heads();
  Conveyed conveyed(16);
  Filler filler(spec);
  CHECK(filler.release_max() == 4);
  CHECK(filler.next_release() == 1'500_mm);
  filler.release(conveyed, Instant{0});
  filler.release(conveyed, Instant{0});
  REQUIRE(conveyed.last() == 8);
  for (std::int64_t n = 1; n <= 8; ++n) {
    const std::int64_t group = (n + 3) / 4;
    const std::int64_t head = (n - 1) % 4 + 1;
    CHECK(conveyed[n].row.group == group);
    CHECK(conveyed[n].row.head == head);
    CHECK(conveyed[n].row.place == head);
    CHECK(conveyed[n].offset == Length{group * 1'500'000 + (head - 1) * 100'000});
  }
}

TEST_CASE("filler: a place counts the containers ahead, not the heads") {
  PlantSpec spec = four_heads();
  spec.happens.heads_missing = {1, 3};
  Conveyed conveyed(16);
  Filler filler(spec);
  filler.release(conveyed, Instant{0});
  REQUIRE(conveyed.last() == 2);
  CHECK(conveyed[1].row.head == 2);
  CHECK(conveyed[1].row.place == 1);
  CHECK(conveyed[2].row.head == 4);
  CHECK(conveyed[2].row.place == 2);
}

TEST_CASE("filler: which containers are missing depends on the seed and on nothing else") {
  PlantSpec spec = metre_line();
  spec.happens.missing_share_ppm = 100'000;
  const auto before = positions(spec, 1'000);
  spec.line.filler.pitch_sd_um = 2'000;
  spec.happens.chatter = {500'000, 4, 800_us};
  spec.product.fill_sd_ml = 5.0;
  CHECK(positions(spec, 1'000) == before);
  spec.seed = 2;
  CHECK(positions(spec, 1'000) != before);
}
