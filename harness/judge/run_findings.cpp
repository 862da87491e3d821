#include "harness/judge/run_findings.hpp"

#include "firmware_sim/contract/fault_table.hpp"

namespace rimebench {

namespace {

constexpr const char* kProvesNothing = "a run that does not reach this proves nothing";

/// A figure of the run, in whole containers unless said otherwise.
Finding figure(const char* name, const char* words, double measured, double allowed) {
  Finding finding;
  finding.name = name;
  finding.words = words;
  finding.measured = measured;
  finding.allowed = allowed;
  finding.unit = "containers";
  return finding;
}

Finding figure(const char* name, const char* words, std::int64_t measured, std::int64_t allowed) {
  return figure(name, words, static_cast<double>(measured), static_cast<double>(allowed));
}

Finding percent(const char* name, const char* words, double measured, double allowed) {
  Finding finding = figure(name, words, measured, allowed);
  finding.unit = "%";
  finding.decimals = 2;
  return finding;
}

/// `seen`: containers or occasions; of none at all nothing is shown.
Finding at_most(Finding finding, std::int64_t seen, const std::optional<Breach>& first) {
  finding.bound = Bound::kAtMost;
  if (seen == 0) {
    finding.outcome = Outcome::kInconclusive;
  } else if (finding.measured > finding.allowed) {
    finding.outcome = Outcome::kFail;
    finding.first = first;
  }
  return finding;
}

Finding at_least(Finding finding) {
  finding.bound = Bound::kAtLeast;
  if (finding.measured < finding.allowed) finding.outcome = Outcome::kFail;
  return finding;
}

Finding fault_finding(Fault fault, const std::optional<Instant>& raised, bool must) {
  const char* const name = kFaultTable[static_cast<std::size_t>(fault)].name;
  Finding finding;
  finding.name = std::string(must ? "faults_must " : "faults_must_not ") + name;
  finding.words = std::string("alarm ") + name;
  finding.unit = "times";
  finding.bound = must ? Bound::kAtLeast : Bound::kAtMost;
  finding.measured = raised ? 1.0 : 0.0;
  finding.allowed = must ? 1.0 : 0.0;
  if (raised.has_value() == must) return finding;
  finding.outcome = Outcome::kFail;
  if (must) {
    finding.note = kProvesNothing;
  } else {
    finding.first = Breach{*raised, 0, 0, Cause::kNone, {}};
  }
  return finding;
}

}  // namespace

void add_count_findings(const Scenario& scenario, const Firsts& firsts, Verdict& verdict) {
  const RunLimits& limits = scenario.run_limits;
  const std::int64_t containers = verdict.containers;
  const auto most = [&](const Finding& finding, const std::optional<Breach>& first) {
    verdict.findings.push_back(at_most(finding, containers, first));
  };
  if (scenario.claim == Claim::kHandled) {
    most(
        figure("handled", "escapes that a sensor could have told", verdict.escapes_sensed.count, 0),
        firsts.sensed_escape);
  }
  most(figure("escapes_max", "escapes", verdict.escapes.count, limits.escapes_max), firsts.escape);
  if (limits.false_rejects_percent_max) {
    most(percent("false_rejects_percent_max", "false rejects", verdict.false_rejects.percent,
                 *limits.false_rejects_percent_max),
         firsts.false_reject);
  }
  if (limits.removed_percent_max) {
    most(percent("removed_percent_max", "taken out at the gate",
                 share_of(verdict.removed, containers).percent, *limits.removed_percent_max),
         firsts.removed);
  }
  if (limits.undosed_max) {
    most(figure("undosed_max", "met by no shot", verdict.undosed, *limits.undosed_max),
         firsts.undosed);
  }
  if (limits.double_dosed_max) {
    most(figure("double_dosed_max", "met by more than one shot", verdict.double_dosed,
                *limits.double_dosed_max),
         firsts.double_dosed);
  }
}

/// What a run must have had, or it proves nothing.
void add_exposure_findings(const Scenario& scenario, Verdict& verdict) {
  const RunLimits& limits = scenario.run_limits;
  if (limits.containers_min) {
    verdict.findings.push_back(
        at_least(figure("containers_min", "finished", verdict.containers, *limits.containers_min)));
  }
  const auto recipes = [&](const char* name, const char* words, std::int64_t seen,
                           const std::optional<std::int64_t>& least) {
    if (!least) return;
    Finding finding = at_least(figure(name, words, seen, *least));
    finding.unit = "times";
    finding.note = kProvesNothing;
    verdict.findings.push_back(finding);
  };
  recipes("recipes_taken_min", "recipes taken", verdict.recipes_taken, limits.recipes_taken_min);
  recipes("recipes_refused_min", "recipes refused", verdict.recipes_refused,
          limits.recipes_refused_min);
  if (limits.exposed_min) {
    Finding finding =
        at_least(figure("exposed_min", "met a disturbance", verdict.exposed, *limits.exposed_min));
    finding.note = kProvesNothing;
    verdict.findings.push_back(finding);
  }
}

void add_valve_findings(const RunLimits& limits, const ValveWatch& valve, Verdict& verdict) {
  if (limits.valve_open_us_max) {
    Finding finding = figure("valve_open_us_max", "longest opening of the valve",
                             valve.longest_us(), *limits.valve_open_us_max);
    finding.unit = "us";
    verdict.findings.push_back(
        at_most(finding, valve.openings(), Breach{valve.longest_at(), 0, 0, Cause::kNone, {}}));
  }
  if (limits.stuck_shots_max) {
    Finding finding = figure("stuck_shots_max", "commands that the valve did not follow",
                             valve.stuck(), *limits.stuck_shots_max);
    finding.unit = "times";
    verdict.findings.push_back(at_most(finding, verdict.shots, valve.first_stuck()));
  }
  if (limits.nitrogen_g_max) {
    Finding finding = figure("nitrogen_g_max", "nitrogen through the valve", valve.nitrogen_g(),
                             *limits.nitrogen_g_max);
    finding.unit = "g";
    finding.decimals = 1;
    verdict.findings.push_back(at_most(finding, valve.openings(), {}));
  }
}

void add_fault_findings(const Scenario& scenario, const FaultsRaised& raised, Verdict& verdict) {
  for (const Fault fault : scenario.faults_must) {
    verdict.findings.push_back(fault_finding(fault, raised[static_cast<std::size_t>(fault)], true));
  }
  for (const Fault fault : scenario.faults_must_not) {
    verdict.findings.push_back(
        fault_finding(fault, raised[static_cast<std::size_t>(fault)], false));
  }
}

void add_reach_findings(const Scenario& scenario, const std::vector<std::int64_t>& counted,
                        Verdict& verdict) {
  for (const Counter counter : scenario.must_reach) {
    const auto index = static_cast<std::size_t>(counter);
    const std::string name = kCounterTable[index].name;
    Finding finding;
    finding.name = "must_reach " + name;
    finding.words = name;
    finding.measured = static_cast<double>(counted[index]);
    finding.allowed = 1.0;
    finding.unit = "times";
    finding.note = kProvesNothing;
    verdict.findings.push_back(at_least(finding));
  }
}

}  // namespace rimebench
