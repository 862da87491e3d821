#include "firmware_sim/core/seam_forecast.hpp"

#include <utility>

#include "firmware_sim/core/defects.hpp"
#include "firmware_sim/core/limits.hpp"
#include "firmware_sim/core/square_root.hpp"

namespace rimebench {
namespace {

constexpr std::size_t kIntervalsEnough = kDefectCycleLater ? 5 : 3;

Duration at_constant_speed(Length distance, Speed speed) {
  return speed > Speed{0} ? travel_time_floor(distance, speed) : Duration{kNever.us};
}

/// How soon the seamer may close the container that lands at `landing`, if one travels from the
/// nozzle to its seam in `alone` and the seamer needs `cycle` for each of those ahead.
Instant seam_behind_queue(const Moment& moment, const ContainerQueue& queue, Instant landing,
                          Duration alone, Duration cycle) {
  Instant seam = moment.seamer.last_seam();
  // The next one has not been discharged yet, so it was not seamed before this.
  const Instant unseen = moment.now - moment.recipe.seam_to_discharge;
  for (std::size_t i = 0; i < queue.decided(); ++i) {
    seam = later(queue[i].landing + alone, seam + cycle);
    if (i == 0) seam = later(seam, unseen);
  }
  return later(landing + alone, seam + cycle);
}

Duration expected_wait(const Moment& moment, const ContainerQueue& queue, int place,
                       Instant landing) {
  const Recipe& recipe = moment.recipe;
  const Speed speed = moment.belt.speed(moment.now);
  switch (recipe.wait_source) {
    case WaitSource::kFixed:
      return recipe.wait_fixed;
    case WaitSource::kBeltSpeed:
      return at_constant_speed(recipe.nozzle_to_seam, speed);
    case WaitSource::kPlace:
      return recipe.place_wait[static_cast<unsigned>(place)];
    case WaitSource::kQueue: {
      if (speed == Speed{0}) return Duration{kNever.us};
      const Duration alone =
          at_constant_speed(recipe.nozzle_to_seam, speed) + recipe.seamer_to_seam;
      const Duration cycle = moment.seamer.cycle(recipe);
      return seam_behind_queue(moment, queue, landing, alone, cycle) - landing;
    }
  }
  return recipe.wait_fixed;  // unreached: every source is answered above
}

/// No wait is shorter, whatever belt and seamer do from here on.
Duration shortest_wait(const Moment& moment, const ContainerQueue& queue, Instant landing) {
  const Recipe& recipe = moment.recipe;
  const Duration travel =
      shortest_travel(recipe.nozzle_to_seam, moment.belt.speed(moment.now), recipe);
  if (recipe.transport == Transport::kLocked) return travel;
  const Duration alone = travel_time_floor(recipe.nozzle_to_seam, recipe.speed_max);
  const Instant behind = seam_behind_queue(moment, queue, landing, alone + recipe.seamer_to_seam,
                                           recipe.seamer_cycle_min);
  return later(landing + travel + recipe.seamer_to_seam, behind) - landing;
}

}  // namespace

void SeamerCycle::on_discharge(const Moment& moment, const ContainerQueue& queue) {
  const Recipe& recipe = moment.recipe;
  if (recipe.transport != Transport::kQueued) return;
  const Instant seam = moment.now - recipe.seam_to_discharge;
  const Duration interval = seam - last_seam_;
  const bool measurable = comparable_ && interval >= recipe.seamer_cycle_min;
  last_seam_ = seam;
  comparable_ = true;
  const Container* seamed = queue.next_to_seam();
  const Speed speed = moment.belt.speed(moment.now);
  if (!measurable || seamed == nullptr || speed == Speed{0}) return;
  if (recipe.seamer_cycle_max > 0_us && interval > recipe.seamer_cycle_max) return;
  // It would have been seamed a quarter of the interval sooner had the seamer been free.
  const Duration alone = at_constant_speed(recipe.nozzle_to_seam, speed) + recipe.seamer_to_seam;
  if (seamed->landing + alone > seam - halved_floor(halved_floor(interval))) return;
  intervals_[oldest_] = interval;
  oldest_ = (oldest_ + 1) % kIntervals;
  if (measured_ < kIntervals) ++measured_;
}

Duration SeamerCycle::cycle(const Recipe& recipe) const {
  Duration cycle = recipe.seamer_cycle;
  if (measured_ >= kIntervalsEnough) {
    std::array<Duration, kIntervals> sorted = intervals_;
    // Insertion: a handful of values, and no library call in the image.
    for (std::size_t i = 1; i < measured_; ++i) {
      for (std::size_t j = i; j > 0 && sorted[j] < sorted[j - 1]; --j) {
        std::swap(sorted[j], sorted[j - 1]);
      }
    }
    cycle = sorted[measured_ / 2];
  }
  return cycle < recipe.seamer_cycle_min ? recipe.seamer_cycle_min : cycle;
}

WaitForecast forecast_wait(const Moment& moment, const ContainerQueue& queue, int place,
                           Instant landing) {
  const Duration wait = expected_wait(moment, queue, place, landing);
  if (moment.recipe.speed_max == Speed{0}) return {wait, false};
  const Duration most = shortest_wait(moment, queue, landing) + moment.recipe.wait_error_max;
  return wait > most ? WaitForecast{most, true} : WaitForecast{wait, false};
}

Duration shortest_travel(Length distance, Speed from, const Recipe& recipe) {
  const Speed top = recipe.speed_max;
  const std::int64_t gain = recipe.acceleration_max;
  if (from >= top) return travel_time_floor(distance, from);
  if (gain == 0) return travel_time_floor(distance, top);
  // v^2 = u^2 + 2 a s tells where the top speed is reached; the bounds stand in limits.hpp.
  const std::int64_t squared = from.raw * from.raw + 2 * gain * distance.raw;
  if (squared <= top.raw * top.raw) {
    const std::int64_t end = square_root_ceil(squared);
    return {mul_div_floor(2 * distance.raw, kMicrosPerSecond, from.raw + end)};
  }
  const Length on_the_way{mul_div_ceil(top.raw - from.raw, top.raw + from.raw, 2 * gain)};
  const Duration gaining{mul_div_floor(top.raw - from.raw, kMicrosPerSecond, gain)};
  return gaining + travel_time_floor(distance - on_the_way, top);
}

}  // namespace rimebench
