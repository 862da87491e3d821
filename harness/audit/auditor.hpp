#pragma once

/// The steps of an audit, each of which needs what those before it left in the report.

#include <optional>
#include <vector>

#include "harness/audit/audit.hpp"
#include "harness/audit/shot_match.hpp"

namespace rimebench {

class Auditor {
 public:
  Auditor(const CapturedLine& line, const AuditSetup& setup, AuditReport& report)
      : line_(line), setup_(setup), belt_(line, setup.recipe), report_(report) {}

  /// Belt, containers, shots.
  void look();
  /// The captured inputs through a controller.
  void run(Node& node);
  /// Which shot was for which container, and what is left over.
  void pair();
  /// Delays and their law.
  void average();
  void by_place();
  void fit_latencies();
  /// The controller's edges against the captured ones.
  void compare();

 private:
  MatchScale by_travel(const std::vector<Pulse>& shots) const;
  MatchScale by_time(const std::vector<Pulse>& shots);
  double reach_um() const;
  double landing_um(const Pulse& shot) const;
  void measure_shot(AuditedShot& shot, const AuditedContainer& container) const;
  void count_shots(const MatchScale& scale, const ShotMatch& match);
  void count_containers(const ShotMatch& match);
  bool is_service(const Pulse& shot) const;
  std::optional<double> asked_length(const AuditedContainer& container) const;
  double way_um() const;
  const AuditedContainer* first_followed() const;
  /// From here on the controller has seen every container that it doses; nothing if there is none.
  std::optional<double> compared_from() const;
  std::optional<double> gate_from() const;

  const CapturedLine& line_;
  const AuditSetup& setup_;
  BeltTrack belt_;
  AuditReport& report_;
  std::vector<double> under_um_;  ///< for each container the belt position to shoot at
  std::vector<Pulse> core_shots_;
  double time_asked_us_{0.0};  ///< the usual time from a sensor's edge to the landing, as asked
};

}  // namespace rimebench
