#pragma once

#include <optional>

#include "firmware_sim/contract/signal_change.hpp"
#include "harness/judge/verdict.hpp"

namespace rimebench {

/// What the valve really did against what it was told: its longest opening, the commands it did
/// not follow in time, and the nitrogen that went through it.
class ValveWatch {
 public:
  explicit ValveWatch(const PlantSpec& plant);

  void on_command(Instant at, bool open);
  void on_actual(Instant at, bool open);
  /// Once, after the last of them: a valve still open was open until `end`.
  void finish(Instant end);

  std::int64_t longest_us() const { return longest_us_; }
  Instant longest_at() const { return longest_at_; }
  std::int64_t openings() const { return openings_; }
  std::int64_t stuck() const { return stuck_; }
  const std::optional<Breach>& first_stuck() const { return first_stuck_; }
  /// At the valve's nominal flow.
  double nitrogen_g() const;

  /// Allowed where the recipe does not say how soon a valve must follow.
  static constexpr std::int64_t kFollowUs = 100'000;

 private:
  void followed(std::optional<Instant>& told, Instant at);
  void closed(Instant at);

  double flow_ug_per_us_;
  std::int64_t follow_us_;
  std::optional<Instant> told_to_open_;
  std::optional<Instant> told_to_close_;
  std::optional<Instant> open_since_;
  std::int64_t open_us_{0};
  std::int64_t openings_{0};
  std::int64_t longest_us_{0};
  Instant longest_at_{};
  std::int64_t stuck_{0};
  std::optional<Breach> first_stuck_;
};

}  // namespace rimebench
