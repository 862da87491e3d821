#pragma once

/// What the run as a whole is held against: counts, shares and times that are no single
/// container's.

#include <array>
#include <optional>
#include <vector>

#include "firmware_sim/contract/fault.hpp"
#include "harness/judge/valve_watch.hpp"
#include "harness/judge/verdict.hpp"

namespace rimebench {

/// The first container of each kind.
struct Firsts {
  std::optional<Breach> escape;
  std::optional<Breach> sensed_escape;
  std::optional<Breach> removed;
  std::optional<Breach> false_reject;
  std::optional<Breach> undosed;
  std::optional<Breach> double_dosed;
};

/// When each fault was first raised.
using FaultsRaised = std::array<std::optional<Instant>, static_cast<std::size_t>(Fault::kCount)>;

/// Counts of containers: escapes, false rejects, removals, undosed, double-dosed.
void add_count_findings(const Scenario& scenario, const Firsts& firsts, Verdict& verdict);

/// What a run must have had, or it proves nothing: containers finished and exposed, recipes taken
/// and refused.
void add_exposure_findings(const Scenario& scenario, Verdict& verdict);

/// The valve's longest opening, what it did not follow, and the nitrogen that went through.
void add_valve_findings(const RunLimits& limits, const ValveWatch& valve, Verdict& verdict);

/// Faults that must have been raised and those that must not.
void add_fault_findings(const Scenario& scenario, const FaultsRaised& raised, Verdict& verdict);

/// Counters that must have counted; `counted` by Counter.
void add_reach_findings(const Scenario& scenario, const std::vector<std::int64_t>& counted,
                        Verdict& verdict);

}  // namespace rimebench
