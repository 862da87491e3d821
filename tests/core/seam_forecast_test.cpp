#include "firmware_sim/core/seam_forecast.hpp"

#include <doctest/doctest.h>

#include "firmware_sim/core/limits.hpp"
#include "firmware_sim/core/square_root.hpp"
#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

RecipeValues with(std::initializer_list<std::pair<Parameter, std::int32_t>> changes) {
  RecipeValues recipe = rotary_recipe();
  for (const auto& [parameter, value] : changes) recipe.set(parameter, value);
  return recipe;
}

/// The 600 mm from nozzle to seam at 600 mm/s on a queued line, 500 ms more in the seamer, which
/// is planned at one a second; 100 ms from seam to discharge.
RecipeValues queued(std::initializer_list<std::pair<Parameter, std::int32_t>> changes = {}) {
  RecipeValues recipe = with({{Parameter::kTransport, static_cast<int>(Transport::kQueued)},
                              {Parameter::kWaitSource, static_cast<int>(WaitSource::kQueue)},
                              {Parameter::kSeamerToSeamUs, 500'000},
                              {Parameter::kSeamerCycleUs, 1'000'000},
                              {Parameter::kSeamToDischargeUs, 100'000}});
  for (const auto& [parameter, value] : changes) recipe.set(parameter, value);
  return recipe;
}

/// A line at constant speed whose containers have passed the nozzle when told so.
class Bench {
 public:
  explicit Bench(RecipeValues values, std::int32_t speed_um_per_s = 600'000) {
    values.set(Parameter::kLinePulsePitchUm, 0);
    values.set(Parameter::kLineSpeedUmPerS, speed_um_per_s);
    recipe_ = Recipe(values);
    belt_.configure(Instant{0}, recipe_, true);
  }
  Moment at(Instant now) const { return {now, belt_.position(now), belt_, recipe_, seamer_}; }
  void land(Instant landing) {
    queue_.admit({.dosed = true, .landing = landing});
    queue_.decide();
  }
  void discharge(Instant now) {
    seamer_.on_discharge(at(now), queue_);
    if (queue_.next_to_seam() != nullptr) queue_.leave();
  }
  WaitForecast forecast(Instant landing, int place = 0) const {
    return forecast_wait(at(Instant{10'000}), queue_, place, landing);
  }
  Duration cycle() const { return seamer_.cycle(recipe_); }

  SeamerCycle seamer_;
  ContainerQueue queue_;

 private:
  Recipe recipe_;
  Belt belt_;
};

constexpr Instant seconds(std::int64_t s) { return Instant{s * kMicrosPerSecond}; }

}  // namespace

TEST_CASE("wait: from rest, the way is half the acceleration times the time squared") {
  // s = a t^2 / 2, the textbook's uniform acceleration: 500 mm at 250 mm/s2 take 2 s.
  const auto travel = [](std::int32_t acceleration, std::int32_t top, Speed from) {
    return shortest_travel(500_mm, from,
                           Recipe(with({{Parameter::kAccelerationMaxUmPerS2, acceleration},
                                        {Parameter::kSpeedMaxUmPerS, top}})));
  };
  CHECK(travel(250'000, 500'000, Speed{0}) == 2_s);
  CHECK(travel(250'000, 5'000'000, Speed{0}) == 2_s);
  // Its top speed of 250 mm/s is reached after 1 s and 125 mm; 375 mm are left.
  CHECK(travel(250'000, 250'000, Speed{0}) == Duration{2'500'000});
  CHECK(travel(250'000, 250'000, Speed{250'000}) == 2_s);
  // Without a limit to its acceleration the belt may be at its top speed at once.
  CHECK(travel(0, 250'000, Speed{1'000}) == 2_s);
  // A belt found faster than its top speed is believed.
  CHECK(travel(250'000, 250'000, Speed{500'000}) == 1_s);
}

TEST_CASE("wait: the longest way at the highest speeds and accelerations stays inside 64 bits") {
  for (const std::int32_t acceleration : {1, 50'000'000}) {
    for (const std::int32_t top : {1, 5'000'000}) {
      const Recipe recipe(with(
          {{Parameter::kAccelerationMaxUmPerS2, acceleration}, {Parameter::kSpeedMaxUmPerS, top}}));
      for (const Speed from : {Speed{0}, Speed{1}, kSpeedMax}) {
        CHECK(shortest_travel(20'000_mm, from, recipe) > 0_us);
      }
    }
  }
}

TEST_CASE("wait: a square root is rounded up to the whole number") {
  CHECK(square_root_ceil(0) == 0);
  CHECK(square_root_ceil(1) == 1);
  CHECK(square_root_ceil(15) == 4);
  CHECK(square_root_ceil(16) == 4);
  CHECK(square_root_ceil(17) == 5);
  CHECK(square_root_ceil(INT64_MAX) == 3'037'000'500);
}

TEST_CASE("wait: the expected wait follows the belt's speed, or the place in the group") {
  CHECK(Bench(rotary_recipe()).forecast(seconds(1)).wait == 1_s);
  CHECK(Bench(rotary_recipe(), 300'000).forecast(seconds(1)).wait == 2_s);
  RecipeValues values = with({{Parameter::kWaitSource, static_cast<int>(WaitSource::kPlace)}});
  values.set_slot(slot(Parameter::kPlaceWaitUs, 0), 1'500'000);
  values.set_slot(slot(Parameter::kPlaceWaitUs, 15), 9'000'000);
  CHECK(Bench(values).forecast(seconds(1)).wait == Duration{1'500'000});
  CHECK(Bench(values).forecast(seconds(1), 15).wait == 9_s);
  CHECK_FALSE(Bench(values).forecast(seconds(1), 15).capped);
}

TEST_CASE(
    "wait: on a slow belt no more is expected than the fastest belt allows, and what is "
    "tolerated") {
  // 3 s at 200 mm/s; at 600 mm/s 1 s, and 50 ms are tolerated.
  const Bench bench(with({{Parameter::kSpeedMaxUmPerS, 600'000}}), 200'000);
  CHECK(bench.forecast(seconds(1)).wait == Duration{1'050'000});
  CHECK(bench.forecast(seconds(1)).capped);
  CHECK_FALSE(Bench(with({{Parameter::kSpeedMaxUmPerS, 600'000}})).forecast(seconds(1)).capped);
  // At 200 mm/s2 it needs 2 s to its top speed, and 800 mm; after 600 mm it is at 529.2 mm/s,
  // 1.6457 s later.
  const Bench gentle(
      with({{Parameter::kSpeedMaxUmPerS, 600'000}, {Parameter::kAccelerationMaxUmPerS2, 200'000}}),
      200'000);
  CHECK(gentle.forecast(seconds(1)).wait == Duration{1'645'749 + 50'000});
}

TEST_CASE("wait: an empty queue is no wait, each container ahead is a cycle of the seamer") {
  Bench bench(queued());
  CHECK(bench.forecast(seconds(10)).wait == Duration{1'500'000});
  bench.land(seconds(10));
  // The one ahead is seamed at 11.5, this one at 12.5.
  CHECK(bench.forecast(Instant{10'400'000}).wait == Duration{2'100'000});
  bench.land(Instant{10'400'000});
  CHECK(bench.forecast(Instant{10'800'000}).wait == Duration{2'700'000});
  // So long after them that nothing is ahead any more.
  CHECK(bench.forecast(seconds(20)).wait == Duration{1'500'000});
}

TEST_CASE("wait: an undosed container ahead takes its cycle as well") {
  Bench bench(queued());
  bench.queue_.admit({.flagged = true, .landing = seconds(10)});
  bench.queue_.decide();
  CHECK(bench.forecast(Instant{10'400'000}).wait == Duration{2'100'000});
}

TEST_CASE("wait: one ahead that has not been discharged yet was not seamed long ago") {
  // It was expected to be seamed at 3.5 s, yet at 9 s it is still there.
  Bench bench(queued());
  bench.land(seconds(2));
  CHECK(forecast_wait(bench.at(seconds(9)), bench.queue_, 0, seconds(9)).wait ==
        Duration{1'500'000});
  CHECK(forecast_wait(bench.at(seconds(9)), bench.queue_, 0, Instant{8'000'000}).wait ==
        Duration{1'900'000});
}

TEST_CASE("wait: the seamer's cycle is the median of what is measured while containers wait") {
  Bench bench(queued());
  for (int i = 0; i < 8; ++i) bench.land(seconds(1));
  CHECK(bench.cycle() == 1_s);
  bench.discharge(Instant{2'600'000});
  bench.discharge(Instant{4'100'000});
  bench.discharge(Instant{5'600'000});
  CHECK(bench.cycle() == 1_s);  // two intervals are not enough
  bench.discharge(Instant{7'100'000});
  CHECK(bench.cycle() == Duration{1'500'000});
  bench.discharge(Instant{12'100'000});  // one odd one changes nothing
  CHECK(bench.cycle() == Duration{1'500'000});
  bench.discharge(Instant{14'100'000});
  bench.discharge(Instant{16'100'000});
  CHECK(bench.cycle() == 2_s);
}

TEST_CASE("wait: a seamer that waits for its containers is not a slow one") {
  Bench bench(queued());
  for (int i = 0; i < 8; ++i) bench.land(Instant{(1 + 3 * i) * kMicrosPerSecond});
  for (int i = 0; i < 8; ++i) bench.discharge(Instant{(1 + 3 * i) * kMicrosPerSecond + 1'600'000});
  CHECK(bench.cycle() == 1_s);
}

TEST_CASE("wait: what lies outside its bounds is not a cycle, nor what a stop makes longer") {
  const auto cycle_of = [](std::int64_t interval_us, bool stops) {
    Bench bench(queued(
        {{Parameter::kSeamerCycleUsMin, 800'000}, {Parameter::kSeamerCycleUsMax, 2'000'000}}));
    for (int i = 0; i < 8; ++i) bench.land(seconds(1));
    for (int i = 0; i < 8; ++i) {
      if (stops) bench.seamer_.interrupt();
      bench.discharge(Instant{10'000'000 + i * interval_us});
    }
    return bench.cycle();
  };
  CHECK(cycle_of(800'000, false) == Duration{800'000});
  CHECK(cycle_of(799'999, false) == 1_s);
  CHECK(cycle_of(2'000'000, false) == 2_s);
  CHECK(cycle_of(2'000'001, false) == 1_s);
  CHECK(cycle_of(1'500'000, true) == 1_s);
}

TEST_CASE("wait: a place's wait is bounded by the containers that are really ahead") {
  // The third place of a group whose first two are missing: planned for 4 s, sealed after 1.5.
  RecipeValues values = queued({{Parameter::kWaitSource, static_cast<int>(WaitSource::kPlace)},
                                {Parameter::kSpeedMaxUmPerS, 600'000},
                                {Parameter::kSeamerCycleUsMin, 900'000},
                                {Parameter::kWaitErrorMaxUs, 300'000}});
  values.set_slot(slot(Parameter::kPlaceWaitUs, 2), 3'500'000);
  Bench bench(values);
  CHECK(bench.forecast(seconds(10), 2).wait == Duration{1'800'000});
  CHECK(bench.forecast(seconds(10), 2).capped);
  bench.land(seconds(10));
  bench.land(seconds(10));
  // Not before 11.5 + 0.9 + 0.9.
  CHECK(bench.forecast(seconds(10), 2).wait == Duration{3'500'000});
  CHECK(bench.forecast(Instant{10'200'000}, 2).wait == Duration{3'400'000});
}
