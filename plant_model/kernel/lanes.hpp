#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "firmware_sim/units/demand.hpp"
#include "firmware_sim/units/quantity.hpp"

/// The one total order of events. Each kind of event has a lane; a lane knows only its next event.
///
///   set(lane, at)  ─┐
///   clear(lane)    ─┼─> sorted keys (at << 6 | lane) ─> next() ─> {lane, at}
///
/// A lane's number is its rank: at one instant the lower number goes first. The keys are unique, so
/// there is never a tie and never an order that depends on history. Events of one lane beyond the
/// first wait in a Ring beside it. No allocation; a set costs about one pass over the lanes it
/// overtakes, which are few.
namespace rimebench {

/// An event that is due; `at` is kNever where every lane is idle, and `lane` then means nothing.
struct Due {
  int lane{};
  Instant at;

  friend constexpr bool operator==(const Due&, const Due&) = default;
};

class Lanes {
 public:
  static constexpr int kLanesMax = 16;
  /// The latest time a lane takes, some 9 100 years; kNever means "idle" instead.
  static constexpr Instant kLatest{(std::int64_t{1} << 58) - 2};

  /// Every lane idle.
  constexpr Lanes() {
    for (int lane = 0; lane < kLanesMax; ++lane) {
      keys_[static_cast<std::size_t>(lane)] = kIdle | static_cast<std::uint64_t>(lane);
    }
  }

  /// The lane's next event is at `at`, whatever it was before; kNever makes it idle.
  /// Times are 0 to kLatest.
  constexpr void set(int lane, Instant at) {
    DEMAND(at == kNever || (at.us >= 0 && at <= kLatest));
    const std::uint64_t time =
        at == kNever ? kIdle : static_cast<std::uint64_t>(at.us) << kLaneBits;
    move(place_of(lane), time | static_cast<std::uint64_t>(lane));
  }

  constexpr void clear(int lane) { set(lane, kNever); }

  /// The earliest event of all; it stays until its lane is set or cleared.
  constexpr Due next() const { return {lane_of(keys_[0]), time_of(keys_[0])}; }

  /// When this lane is due, or kNever.
  constexpr Instant at(int lane) const { return time_of(keys_[place_of(lane)]); }

 private:
  static constexpr int kLaneBits = 6;
  static constexpr std::uint64_t kLaneMask = (std::uint64_t{1} << kLaneBits) - 1;
  static constexpr std::uint64_t kIdle = ~kLaneMask;

  static constexpr int lane_of(std::uint64_t key) { return static_cast<int>(key & kLaneMask); }
  static constexpr Instant time_of(std::uint64_t key) {
    return key >= kIdle ? kNever : Instant{static_cast<std::int64_t>(key >> kLaneBits)};
  }

  /// Found by looking: the lane that is set is nearly always the one that was due, at the front.
  constexpr std::size_t place_of(int lane) const {
    DEMAND(lane >= 0 && lane < kLanesMax);
    std::size_t place = 0;
    while (lane_of(keys_[place]) != lane) ++place;
    return place;
  }

  /// Puts `key` in the place where it sorts, in exchange for the key at `place`.
  constexpr void move(std::size_t place, std::uint64_t key) {
    while (place + 1 < keys_.size() && keys_[place + 1] < key) {
      keys_[place] = keys_[place + 1];
      ++place;
    }
    while (place > 0 && keys_[place - 1] > key) {
      keys_[place] = keys_[place - 1];
      --place;
    }
    keys_[place] = key;
  }

  std::array<std::uint64_t, kLanesMax> keys_{};
};

}  // namespace rimebench
