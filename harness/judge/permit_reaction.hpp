#pragma once

#include <optional>

#include "harness/judge/verdict.hpp"

namespace rimebench {

/// How long the valve stays commanded open once the run permit is lost. A valve that opens while
/// the permit is away counts from the loss (from the start, where no permit was given yet), and a
/// permit that returns does not excuse a valve that never closed.
class PermitReaction {
 public:
  explicit PermitReaction(std::int64_t allowed_us) : allowed_us_(allowed_us) {}

  void on_permit(Instant at, bool given);
  void on_valve(Instant at, bool open);

  /// Inconclusive where the permit was never lost and the valve never open without it.
  Finding finding(Instant end) const;

 private:
  void reacted(Instant at);

  std::int64_t allowed_us_;
  std::optional<Instant> lost_{Instant{}};
  bool permit_{false};
  bool valve_open_{false};
  std::int64_t losses_{0};
  std::int64_t breaches_{0};
  std::int64_t worst_us_{0};
  Breach first_{};
};

}  // namespace rimebench
