#pragma once

/// Where the node's clock stands against the bench's, and how fast it runs away, from exchanges of
/// four stamps: the bench sent, the node received and replied, the reply arrived.
///
/// What is not known of an exchange is how its travel was shared between the two ways; half of it
/// each is assumed, so an exchange is off by at most half its travel. The quickest exchange of each
/// second is kept, and only if it travelled about as quickly as the quickest ever.

#include <cstdint>
#include <optional>

#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

struct ClockExchange {
  Instant sent;      ///< bench's clock
  Instant received;  ///< node's clock
  Instant replied;   ///< node's clock
  Instant arrived;   ///< bench's clock

  Duration travel() const { return (arrived - sent) - (replied - received); }
};

class ClockFit {
 public:
  void add(const ClockExchange& exchange);

  /// False before the first exchange; then the others mean nothing.
  bool known() const { return best_.has_value() || last_.has_value(); }
  /// The bench's time at which the node's clock showed `node`.
  Instant to_bench(Instant node) const;
  /// The node's clock less the bench's, at the last exchange kept.
  Duration offset() const { return reference().offset; }
  /// How far that may be off: half the travel of the exchange it comes from.
  Duration offset_error() const { return halved_floor(reference().travel); }
  /// Parts per million that the node's clock is fast; 0 until a second's worth is known.
  double drift_ppm() const { return drift_ * 1e6; }

 private:
  struct Sample {
    Instant node;
    Duration offset;
    Duration travel;
  };

  const Sample& reference() const { return last_ ? *last_ : *best_; }
  void keep(const Sample& sample);

  std::optional<Sample> best_;  // of the present second
  Instant second_ends_{};       // bench's clock
  std::optional<Sample> first_;
  std::optional<Sample> last_;
  Duration quickest_{kNever.us};
  double drift_{};  // of the offset, over the node's time
};

}  // namespace rimebench
