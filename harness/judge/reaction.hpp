#pragma once

#include <optional>

#include "harness/judge/verdict.hpp"

namespace rimebench {

/// How long liquid goes on once a permit is lost: until the valve is commanded closed, has closed,
/// or the last of it has landed, whichever it is told of. A valve that opens while the permit is
/// away counts from the loss (from the start, where none was given yet), and a permit that returns
/// does not excuse a valve that never closed.
class Reaction {
 public:
  struct Terms {
    const char* name;
    const char* words;
  };

  Reaction(const Terms& terms, std::int64_t allowed_us) : terms_(terms), allowed_us_(allowed_us) {}

  void on_permit(Instant at, bool given);
  /// Landing liquid is a valve that closes as it lands.
  void on_valve(Instant at, bool open);

  /// Inconclusive where the permit was never lost and the valve never open without it.
  Finding finding(Instant end) const;

 private:
  void reacted(Instant at);

  Terms terms_;
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
