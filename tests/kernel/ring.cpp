#include "plant_model/kernel/ring.hpp"

#include <doctest/doctest.h>

#include <cstdint>
#include <deque>
#include <memory>

#include "plant_model/kernel/random.hpp"

using namespace rimebench;

TEST_CASE("ring: first in is first out, and index 0 is the front") {
  Ring<int> ring(4);
  ring.push_back(10);
  ring.push_back(11);
  ring.push_back(12);
  CHECK(ring.pop_front() == 10);
  CHECK(ring.front() == 11);
  CHECK(ring[1] == 12);
  CHECK(ring.back() == 12);
}

TEST_CASE("ring: it takes as many as its room says, across the seam of its storage") {
  Ring<int> ring(4);
  for (int i = 0; i < 3; ++i) ring.push_back(i);
  for (int i = 0; i < 3; ++i) CHECK(ring.pop_front() == i);
  for (int i = 0; i < 4; ++i) ring.push_back(i);
  CHECK(ring.full());
  for (int i = 0; i < 4; ++i) CHECK(ring[static_cast<std::size_t>(i)] == i);
  ring.clear();
  CHECK(ring.empty());
}

TEST_CASE("ring: elements that can only be moved pass through") {
  Ring<std::unique_ptr<int>> ring(2);
  ring.push_back(std::make_unique<int>(5));
  CHECK(*ring.pop_front() == 5);
}

TEST_CASE("ring: it agrees with a double-ended queue over 100 000 random steps") {
  Ring<std::uint32_t> ring(64);
  std::deque<std::uint32_t> model;
  RandomStream chance(6, 1, 0);
  for (int step = 0; step < 100'000; ++step) {
    if (chance.happens(520'000) ? !ring.full() : ring.empty()) {
      const std::uint32_t value = chance.word();
      ring.push_back(value);
      model.push_back(value);
    } else {
      REQUIRE(ring.pop_front() == model.front());
      model.pop_front();
    }
    REQUIRE(ring.size() == model.size());
    if (!model.empty()) REQUIRE(ring[model.size() / 2] == model[model.size() / 2]);
  }
}

TEST_CASE("ring: a ring assigned from another holds the same, and goes its own way from there") {
  Ring<int> ring(4);
  Ring<int> copy(4);
  for (int i = 0; i < 4; ++i) ring.push_back(i);
  for (int i = 0; i < 3; ++i) ring.pop_front();
  ring.push_back(4);
  copy.push_back(9);
  copy = ring;
  CHECK(ring.pop_front() == 3);
  ring.push_back(5);
  REQUIRE(copy.size() == 2);
  CHECK(copy.pop_front() == 3);
  CHECK(copy.pop_front() == 4);
}
