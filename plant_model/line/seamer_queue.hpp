#pragma once

/// The queue before a single-station seamer: finite, touching, first in, first out.
///
/// Containers come on a moving belt and stand behind one another, one body apart, the first at the
/// taking position. When the seamer takes the first, all that stand move on with the belt, as one
/// block, until the next one reaches the taking position; if the seamer is then still busy, they
/// stand again. While a container stands the belt slides under it: a hold.

#include <cstdint>

#include "plant_model/line/bound.hpp"
#include "plant_model/line/carried.hpp"
#include "plant_model/spec/line.hpp"

namespace rimebench {

struct SeamerQueueReferences {
  const LineSpec& line_;
  Conveyed& conveyed_;
};

class SeamerQueue : private Bound<SeamerQueueReferences> {
 public:
  SeamerQueue(const LineSpec& line, std::int64_t body_um, Conveyed& conveyed);

  /// Belt travel at which the next container arrives at its place in the queue or, while the block
  /// moves, at which its first reaches the taking position; nothing is due while none is on the
  /// way.
  bool arrival_due() const;
  Length arrival_travel() const;
  void arrive(Instant at, Length travel);

  /// When the seamer is free again; kNever if nothing waits for that.
  Instant free_at() const { return standing_ ? busy_until_ : kNever; }
  void take_standing(Instant at, Length travel);

  /// True while this container stands in the queue.
  bool stands(std::int64_t number) const {
    return standing_ && number >= head_ && number < tail_ &&
           !has_befallen(conveyed_[number], Befell::kTakenBeforeSeam);
  }
  /// The first that the seamer has not taken.
  std::int64_t head() const { return head_; }

  /// The seamer takes no container before `until`.
  void hold(Instant until) { busy_until_ = later(busy_until_, until); }
  /// Every step of the seamer takes this many times as long from now on.
  void set_slowness(double times) { slowness_ = times; }

 private:
  Length taking_position() const { return Length{line_.stations.seam_um}; }
  void take(Instant at);
  void stand(std::int64_t number, Instant at, Length travel);
  std::int64_t not_taken_away(std::int64_t number) const;
  Duration slowed(std::int64_t us) const;
  void move_on(Instant at, Length travel);

  Length body_;
  std::int64_t head_{1};     ///< next container to be taken
  std::int64_t tail_{1};     ///< next to arrive: the block is what lies between
  std::int64_t waiting_{0};  ///< containers in the block
  double slowness_{1.0};
  bool standing_{false};
  Instant busy_until_{};
};

}  // namespace rimebench
