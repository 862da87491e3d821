#pragma once

#include "firmware_sim/core/shot_timer.hpp"
#include "firmware_sim/core/stream_timer.hpp"

namespace rimebench {

/// Single shots below the speed at which they merge, a stream above it; the speed to leave the
/// stream lies below the one to enter it, so that a hunting line does not change to and fro.
/// Neither takes over before the other has closed the valve.
class Dosing {
 public:
  /// The belt's speed, whenever a pulse or the run permit tells it anew.
  void see(Speed speed, const Recipe& recipe) {
    const Speed least = fast_ ? recipe.stream_leave : recipe.stream_enter;
    fast_ = recipe.stream_enter > Speed{0} && speed >= least;
  }
  /// Ends what is over, then decides what is due.
  void settle(const Moment& moment, Mode mode, ContainerQueue& queue, Counters& counters) {
    streams_ = stream_.open() || (fast_ && !shots_.open());
    if (streams_) {
      stream_.rest_from(shots_.closed_at());
      stream_.settle(moment, fast_, mode, queue, counters);
      streams_ = fast_ || stream_.open();
    }
    if (!streams_) {
      shots_.rest_from(stream_.closed_at());
      shots_.settle(moment, mode, queue, counters);
    }
  }
  /// Closes the valve at once; what was not done is cut.
  void end(Instant now, ContainerQueue& queue, Counters& counters) {
    shots_.end(now, queue, counters);
    stream_.end(now, queue, counters);
  }

  /// The valve was shut then by a shot of another kind: it rests from then on.
  void rest_from(Instant shut_at) {
    shots_.rest_from(shut_at);
    stream_.rest_from(shut_at);
  }
  /// When the valve will have rested, as far as can be told.
  Instant rested_at(const Recipe& recipe) const {
    return later(shots_.rested_at(recipe), stream_.rested_at(recipe));
  }

  ValveRequest request() const { return stream_.open() ? stream_.request() : shots_.request(); }
  /// The next instant at which time alone makes settle() act.
  Instant due() const { return streams_ ? stream_.due() : shots_.due(); }
  /// True if a pulse just taken may bring the next opening or end forward of the pulse after it.
  bool in_reach(const Belt& belt, const Recipe& recipe, const ContainerQueue& queue) const {
    if (shots_.in_reach(belt, recipe, queue)) return true;
    return recipe.stream_enter > Speed{0} && stream_.in_reach(belt, recipe, queue);
  }

 private:
  ShotTimer shots_;
  StreamTimer stream_;
  bool fast_ = false;
  bool streams_ = false;  ///< the stream's turn
};

}  // namespace rimebench
