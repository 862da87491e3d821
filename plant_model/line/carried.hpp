#pragma once

/// The containers on their way from the filler to the gate, shared by the two halves of the plant:
/// the upstream half appends them and sets their times, the downstream half doses, closes and
/// retires them.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "firmware_sim/units/quantity.hpp"
#include "plant_model/kernel/ring.hpp"
#include "plant_model/spec/befell.hpp"
#include "plant_model/spec/ledger.hpp"

namespace rimebench {

/// A stretch of time in which a queued container stood while the belt slid under it.
struct Hold {
  Instant from;
  Instant to{kNever};
  Length travel_from;
  Length travel_to;
};

struct Carried {
  LedgerRow row;
  std::int64_t position{};  ///< in the filler's stream, empty places included
  Length offset;            ///< its centre is at (belt travel - offset), before any hold
  Length slip;              ///< of all ended holds
  Length outfeed_offset;    ///< queued line: the same behind the seamer
  bool taken{false};        ///< queued line: the seamer has it
  Length half_body;         ///< half of what the sensor sees of it
  Instant discharge{};      ///< queued line: due at the discharge sensor
  Instant lid{kNever};
  Instant seam{kNever};
  Instant check{kNever};  ///< at a pressure check with a place of its own
  Instant gate{kNever};
  double fill_deviation{};  ///< in standard deviations, as are the next two
  double gas_deviation{};
  double boil_off_deviation{};
  Instant liquid_at{};  ///< the moment for which `liquid_kg` holds
  double liquid_kg{};
  double evaporated_kg{};
  std::int64_t last_shot{};  ///< that met it
  std::vector<Hold> holds;   ///< queued line: one for each place it stood at
};

inline bool has_befallen(const Carried& container, Befell what) {
  return has_befallen(container.row.befell, what);
}

/// Somebody takes it away before the discharge sensor; it passes no station from there on.
inline bool is_taken_away(const Carried& container) {
  return has_befallen(container, Befell::kTakenBeforeSeam) ||
         has_befallen(container, Befell::kTakenBehindSeam);
}

/// Containers by their number, 1 for the first; each stays until the downstream half retires it.
class Conveyed {
 public:
  explicit Conveyed(std::size_t capacity) : ring_(capacity) {}

  bool has_room(std::size_t containers) const {
    return ring_.size() + containers <= ring_.capacity();
  }
  bool empty() const { return ring_.empty(); }
  std::int64_t first() const { return first_; }
  std::int64_t last() const { return first_ + static_cast<std::int64_t>(ring_.size()) - 1; }
  bool has(std::int64_t number) const { return number >= first_ && number <= last(); }

  Carried& operator[](std::int64_t number) {
    return ring_[static_cast<std::size_t>(number - first_)];
  }
  const Carried& operator[](std::int64_t number) const {
    return ring_[static_cast<std::size_t>(number - first_)];
  }
  Carried& append() {
    Carried& added = ring_.push_back(Carried{});
    added.row.container = last();
    return added;
  }
  void retire_first() {
    ring_.pop_front();
    ++first_;
  }

 private:
  Ring<Carried> ring_;
  std::int64_t first_{1};
};

}  // namespace rimebench
