#pragma once

#include <cstdint>
#include <optional>

#include "firmware_sim/core/counters.hpp"
#include "firmware_sim/core/valve_request.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// A kind of shot that is wanted again and again.
struct ServiceOrder {
  ShotKind kind;
  Duration open;
  Duration period;  ///< from one opening to the next
};

/// Fires the shots that dose no container: purge and cool-down shots, and test shots. One is fired
/// only into a clear nozzle, and is cut as soon as the nozzle is not clear any more or the order is
/// withdrawn. A cut test shot is fired again.
class ServiceShots {
 public:
  /// So many test shots more.
  void ask_for_tests(int count) { tests_left_ += count; }
  void forget_tests() { tests_left_ = 0; }
  int tests_left() const { return tests_left_; }

  /// Ends a running shot whose time is over; call first, so that what waits for it can go on.
  void finish(Instant now, Counters& counters) {
    if (open_ && now >= close_at_) end(now, counters);
  }
  /// Ends a running shot before its time.
  void cut(Instant now, Counters& counters) {
    if (open_) end(now, counters);
  }
  /// `rested_at`: not before this may the valve open again.
  void settle(Instant now, const std::optional<ServiceOrder>& order, bool clear, Instant rested_at,
              Counters& counters);

  ValveRequest request() const {
    return {open_.has_value(), std::nullopt, open_.value_or(ShotKind::kCoolDown)};
  }
  bool open() const { return open_.has_value(); }
  /// What is left of the shot that is open.
  Duration left(Instant now) const { return close_at_ - now; }
  Instant closed_at() const { return closed_at_; }
  /// The next instant at which time alone makes settle() act on this order.
  Instant due(const std::optional<ServiceOrder>& order, Instant rested_at) const;

 private:
  void end(Instant now, Counters& counters);

  std::optional<ShotKind> open_;
  Instant close_at_;
  Instant next_at_;  ///< of the period
  Instant closed_at_{-kNever.us};
  int tests_left_ = 0;
};

}  // namespace rimebench
