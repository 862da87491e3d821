#pragma once

/// Where the belt was at any moment of a capture, from its line pulses, those before and after the
/// moment alike: the controller knows only those before. Times in us and positions in um, as
/// doubles: nothing here decides when anything happens.

#include <cstdint>
#include <optional>
#include <vector>

#include "firmware_sim/contract/parameter.hpp"
#include "harness/audit/captured_line.hpp"
#include "harness/audit/robust.hpp"

namespace rimebench {

/// A pulse that was not there, or one too many.
struct PulseFault {
  double at_us{};
  int pulses{};  ///< so many lost; -1: one extra
};

struct PulseAudit {
  std::int64_t pulses{};
  std::int64_t lost{};
  std::int64_t extra{};
  std::int64_t standstills{};  ///< longer than lost pulses could explain
  std::vector<PulseFault> faults;
  double jitter_us{};  ///< standard deviation of one pulse about its neighbours' line (robust)
  double slowest_um_per_us{};  ///< 1 % of the pulses came slower, standstills left out
  double fastest_um_per_us{};  ///< 1 % faster
};

class BeltTrack {
 public:
  /// From the pulses; where the recipe has none, from its line speed while the line has its permit.
  BeltTrack(const CapturedLine& line, const RecipeValues& recipe);

  /// Nothing before the first and after the last pulse but one period's length.
  std::optional<double> position(double at_us) const;
  std::optional<double> time_at(double position_um) const;
  /// Mean speed over the neighbouring pulses, um/us; nothing where the position is none.
  std::optional<double> speed(double at_us) const;
  /// The pulses about this moment come so evenly that the belt lies between them where a straight
  /// line has it.
  bool steady(double at_us) const;
  /// From here on a controller that knew nothing before the first pulse knows position and speed.
  double followed_from() const { return times_.size() < 4 ? known_to() : times_[pulsed_ ? 3 : 0]; }
  /// The belt is known from here to there.
  double known_from() const { return times_.empty() ? 0.0 : times_.front(); }
  double known_to() const { return times_.empty() ? 0.0 : times_.back(); }

  bool pulsed() const { return pulsed_; }
  const PulseAudit& pulses() const { return audit_; }

 private:
  void from_pulses(const std::vector<double>& edges, double pitch_um);
  void from_permit(const CapturedLine& line, double um_per_us);
  std::size_t extra_behind(std::size_t at, const std::vector<double>& periods) const;
  std::vector<double> without_extra(const std::vector<double>& edges);
  void watch(double pitch_um);
  int lost_in(std::size_t gap, const std::vector<double>& periods) const;

  bool pulsed_{false};
  std::vector<double> times_;
  std::vector<double> positions_;
  PulseAudit audit_;
};

}  // namespace rimebench
