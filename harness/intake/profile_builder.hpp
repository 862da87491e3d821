#pragma once

#include <cstdint>

#include "harness/intake/knot_thinner.hpp"
#include "harness/intake/speed_intake.hpp"

namespace rimebench {

/// From a log's rows to the knots of a profile: holds, straight lines, gaps; and the figures of the
/// whole.
class ProfileBuilder {
 public:
  ProfileBuilder(const LogForm& form, const Choices& choices, SpeedIntake& result,
                 const KnotSink& sink);

  /// A row at `us` from the first one; times rise.
  void take(std::int64_t us, double per_min, std::int64_t line);
  void finish();

 private:
  enum class Gap : std::uint8_t { kHold, kStraight, kStopped };

  void knot(std::int64_t us, double per_min);
  void bridge(std::int64_t us, Gap how);
  void count_gap(std::int64_t us, std::int64_t line);

  const LogForm& form_;
  SpeedIntake& result_;
  KnotThinner thinner_;
  double gap_s_;
  Gap gap_;
  bool any_{false};
  std::int64_t last_us_{0};
  double last_{0.0};
  std::int64_t knot_us_{0};
  double knot_{0.0};
  double gaps_s_{0.0};
  std::int64_t gaps_{0};
  std::int64_t gap_line_{0};
};

}  // namespace rimebench
