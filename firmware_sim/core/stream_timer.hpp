#pragma once

#include <optional>

#include "firmware_sim/core/shot_timer.hpp"

namespace rimebench {

/// Doses containers too fast for single shots: the valve opens as the first one's opening comes
/// under the nozzle and stays open from container to container, until no next one is due within
/// stream_gap_us of the last one's end. What a container gets is the flow for as long as its
/// opening passes.
///   open  = arrival of the opening's front - flight - open delay
///   close = arrival of its rear            - flight - close delay
/// A container that would not have passed within stream_us_max gets nothing.
/// Between pulses the end is foreseen at the last speed seen, so a belt that stalls unannounced
/// closes the valve too.
class StreamTimer {
 public:
  /// Ends what is over, then decides what is due. `going`: the belt is fast enough to begin or
  /// carry on; without, the stream ends behind the present container.
  void settle(const Moment& moment, bool going, Mode mode, ContainerQueue& queue,
              Counters& counters);
  /// Closes at once: the containers not wholly past are flagged.
  void end(Instant now, ContainerQueue& queue, Counters& counters);

  bool open() const { return newest_.has_value(); }
  ValveRequest request() const { return {open(), newest_, ShotKind::kStream}; }
  /// The next instant at which time alone makes settle() act.
  Instant due() const { return open() ? earlier(close_at_, open_at_) : open_at_; }
  bool in_reach(const Belt& belt, const Recipe& recipe, const ContainerQueue& queue) const;
  /// When the valve will have rested, as far as can be told.
  Instant rested_at(const Recipe& recipe) const {
    return (open() ? close_at_ : closed_at_) + recipe.rest_min;
  }
  /// End of the last stream.
  Instant closed_at() const { return closed_at_; }
  /// The valve was open until then.
  void rest_from(Instant closed_at) { closed_at_ = later(closed_at_, closed_at); }

 private:
  std::optional<Counter> refusal(const Moment& moment, Mode mode, Instant due, const Dose& dose,
                                 const Container& container) const;
  void take(const Moment& moment, const Dose& dose, Container& container, ContainerNumber number);
  void check_doses(const Moment& moment, ContainerQueue& queue, Counters& counters);
  void plan_end(const Moment& moment, bool going, const ContainerQueue& queue);

  std::optional<ContainerNumber> newest_;  ///< the valve is asked to be open, now for this one
  Instant opened_at_;
  Instant open_at_ = kNever;  ///< when the next container is decided; kNever: not before a pulse
  Instant close_at_;
  Instant closed_at_{-kNever.us};
  Length passing_;          ///< belt position at which the newest one's centre is under the nozzle
  Instant passed_;          ///< when the valve may close behind it, foreseen
  bool rear_seen_ = false;  ///< its opening has passed the nozzle: passed_ stands
  Instant newest_landing_;
  Duration rear_behind_landing_;  ///< from a container's landing to when the valve may close
};

}  // namespace rimebench
