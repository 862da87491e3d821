#pragma once

#include <cstddef>
#include <cstdint>

#include "firmware_sim/core/fixed_ring.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Counts admitted containers; names one for as long as it is tracked.
using ContainerNumber = std::uint32_t;

/// A container between the sensor and the seam.
struct Container {
  Length centre{};           ///< belt position at which its centre stands in front of the sensor
  int place = 0;             ///< in its group, from 0
  bool dosed = false;        ///< it got its one shot, perhaps cut
  bool flagged = false;      ///< not surely right: never dosed from here on, and rejected
  Instant landing{};         ///< of the middle of its shot; undosed: when it passed the nozzle
  Instant seen{};            ///< when its leading edge passed the sensor
  Duration expected_wait{};  ///< from landing to seam, as its dose assumed
};

/// The containers from the sensor to the seam, oldest first: those past the nozzle, whose shot is
/// decided, then those still to be decided.
class ContainerQueue {
 public:
  bool full() const { return ring_.full(); }
  void admit(const Container& container) { ring_.push_back(container); }

  /// The oldest container whose shot is not decided, or null.
  Container* next_to_dose() { return decided_ < ring_.size() ? &ring_[decided_] : nullptr; }
  const Container* next_to_dose() const {
    return decided_ < ring_.size() ? &ring_[decided_] : nullptr;
  }
  ContainerNumber next_to_dose_number() const {
    return oldest_ + static_cast<ContainerNumber>(decided_);
  }
  /// The container next_to_dose() is past the nozzle, dosed or refused.
  void decide() { ++decided_; }
  /// How many are past the nozzle: the first so many, oldest first.
  std::size_t decided() const { return decided_; }

  /// The oldest container past the nozzle, or null.
  const Container* next_to_seam() const { return decided_ > 0 ? &ring_.front() : nullptr; }
  void leave() {
    DEMAND(decided_ > 0);
    left_centre_ = ring_.front().centre;
    ring_.pop_front();
    --decided_;
    ++oldest_;
  }

  /// Of all tracked containers, oldest first.
  std::size_t size() const { return ring_.size(); }
  Container& operator[](std::size_t index) { return ring_[index]; }
  const Container& operator[](std::size_t index) const { return ring_[index]; }
  /// Centre of the one that left last; far behind everything before any has.
  Length left_centre() const { return left_centre_; }

  /// Null if that container is no longer tracked.
  Container* find(ContainerNumber number) {
    const ContainerNumber index = number - oldest_;
    return index < ring_.size() ? &ring_[index] : nullptr;
  }

  void flag_all() {
    for (std::size_t i = 0; i < ring_.size(); ++i) ring_[i].flagged = true;
  }
  /// Flags those whose shot is not decided or lands at or after `since`.
  void flag_landing_since(Instant since) {
    for (std::size_t i = 0; i < ring_.size(); ++i) {
      if (i >= decided_ || ring_[i].landing >= since) ring_[i].flagged = true;
    }
  }
  /// Flags those whose shot is decided and lands at or after `since`.
  void flag_decided_since(Instant since) {
    for (std::size_t i = 0; i < decided_; ++i) {
      if (ring_[i].landing >= since) ring_[i].flagged = true;
    }
  }
  /// Flags the newest so many.
  void flag_newest(std::size_t count) {
    for (std::size_t i = 0; i < count && i < ring_.size(); ++i) {
      ring_[ring_.size() - 1 - i].flagged = true;
    }
  }
  void clear() {
    oldest_ += static_cast<ContainerNumber>(ring_.size());
    decided_ = 0;
    ring_.clear();
  }

 private:
  FixedRing<Container, 128> ring_;
  ContainerNumber oldest_ = 0;
  std::size_t decided_ = 0;
  Length left_centre_{-kNever.us};
};

}  // namespace rimebench
