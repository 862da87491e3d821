#include "harness/judge/judge.hpp"

#include <algorithm>
#include <cmath>

#include "firmware_sim/contract/fault_table.hpp"

namespace rimebench {

namespace {

constexpr double kPaPerKpa = 1'000.0;
constexpr double kUgPerG = 1e6;

/// Wilson score interval at 95 % (E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209).
Share share_of(std::int64_t count, std::int64_t of) {
  Share share{count, of, 0.0, 0.0, 0.0};
  if (of == 0) return share;
  constexpr double kZ = 1.959963984540054;
  const double n = static_cast<double>(of);
  const double p = static_cast<double>(count) / n;
  const double scale = 1.0 + kZ * kZ / n;
  const double centre = p + kZ * kZ / (2.0 * n);
  const double spread = kZ * std::sqrt(p * (1.0 - p) / n + kZ * kZ / (4.0 * n * n));
  share.percent = 100.0 * p;
  share.low_percent = std::max(0.0, 100.0 * (centre - spread) / scale);
  share.high_percent = std::min(100.0, 100.0 * (centre + spread) / scale);
  return share;
}

/// A controller has no sensor for the fill, nor for the gas that a good shot left behind.
bool unseeable(const LedgerRow& row) {
  const auto cause = static_cast<Cause>(row.cause);
  return cause == Cause::kFill || cause == Cause::kOxygen;
}

Finding at_most(const char* name, double measured, double allowed, const char* unit, int decimals) {
  Finding finding;
  finding.name = name;
  finding.measured = measured;
  finding.allowed = allowed;
  finding.unit = unit;
  finding.decimals = decimals;
  if (!(measured <= allowed)) finding.outcome = Outcome::kFail;
  return finding;
}

Finding at_least(const char* name, double measured, double allowed, const char* unit) {
  Finding finding = at_most(name, measured, allowed, unit, 0);
  finding.outcome = measured >= allowed ? Outcome::kPass : Outcome::kFail;
  return finding;
}

}  // namespace

Judge::Judge(const Scenario& scenario)
    : scenario_(scenario), limits_(container_limits(scenario.plant.limits)) {}

void Judge::on_change(const SignalChange& change) {
  if (change.channel == Channel::kRunPermit) return on_permit(change);
  if (change.channel == Channel::kAlarm) alarm_ = change.value;
  if (change.channel == Channel::kValve) {
    valve_open_ = change.value != 0;
    if (valve_open_) ++verdict_.shots;
    if (valve_open_ || !permit_lost_) return;
    const std::int64_t reaction = (change.at - *permit_lost_).raw;
    if (reaction > worst_reaction_us_) worst_reaction_at_ = change.at;
    worst_reaction_us_ = std::max(worst_reaction_us_, reaction);
    permit_lost_.reset();
  }
  const int counter = number(change.channel) - number(Channel::kCounterFirst);
  if (counter >= 0 && counter < static_cast<int>(Counter::kCount)) {
    verdict_.counters[kCounterTable[static_cast<std::size_t>(counter)].name] = change.value;
  }
}

void Judge::on_permit(const SignalChange& change) {
  if (change.value != 0) {
    permit_lost_.reset();
  } else if (valve_open_) {
    permit_lost_ = change.at;
  }
}

void Judge::on_row(const LedgerRow& row) {
  for (ContainerLimit& limit : limits_) limit.on_row(row);
  verdict_.nozzle_g += static_cast<double>(row.nozzle_ug) / kUgPerG;
  if (row.gate_us == 0) {
    ++verdict_.unfinished;
    return;
  }
  ++verdict_.containers;
  const bool bad = row.bad != 0;
  if (bad) {
    ++verdict_.bad_by_cause[static_cast<std::size_t>(row.cause)];
    if (verdict_.bad_rows.size() < Verdict::kBadRowsMax) verdict_.bad_rows.push_back(row);
  }
  if (row.removed != 0) {
    ++verdict_.removed;
    if (!bad) ++verdict_.false_rejects.count;
    return;
  }
  count_place(row);
  if (!bad) return;
  ++verdict_.escapes.count;
  ++(row.flagged != 0 ? verdict_.escapes_missed_by_gate : verdict_.escapes_unflagged);
  if (unseeable(row)) ++verdict_.escapes_unseeable;
}

/// Mean and deviation by Welford's recurrence.
void Judge::count_place(const LedgerRow& row) {
  PlaceFigures& place = verdict_.places[row.place];
  const double kpa = static_cast<double>(row.equilibrium_pa) / kPaPerKpa;
  ++place.containers;
  if (place.containers == 1) place.least_kpa = place.most_kpa = kpa;
  place.least_kpa = std::min(place.least_kpa, kpa);
  place.most_kpa = std::max(place.most_kpa, kpa);
  const double away = kpa - place.mean_kpa;
  place.mean_kpa += away / static_cast<double>(place.containers);
  place.sd_kpa += away * (kpa - place.mean_kpa);
}

Verdict Judge::finish(const RunEnd& end) {
  verdict_.digest = end.digest;
  verdict_.signal_changes = end.signal_changes;
  verdict_.exchanges = end.exchanges;
  verdict_.end = end.end;
  verdict_.escapes = share_of(verdict_.escapes.count, verdict_.containers - verdict_.removed);
  verdict_.false_rejects = share_of(verdict_.false_rejects.count, verdict_.containers);
  for (const ContainerLimit& limit : limits_) verdict_.findings.push_back(limit.finding());
  finish_run_limits();
  finish_controller();
  finish_places();
  finish_outcome(end);
  return verdict_;
}

void Judge::finish_run_limits() {
  const RunLimits& limits = scenario_.run_limits;
  std::vector<Finding>& findings = verdict_.findings;
  findings.push_back(at_most("escapes_max", static_cast<double>(verdict_.escapes.count),
                             static_cast<double>(limits.escapes_max), "containers", 0));
  if (limits.false_rejects_percent_max) {
    findings.push_back(at_most("false_rejects_percent_max", verdict_.false_rejects.percent,
                               *limits.false_rejects_percent_max, "%", 2));
  }
  if (limits.removed_percent_max) {
    const Share removed = share_of(verdict_.removed, verdict_.containers);
    findings.push_back(
        at_most("removed_percent_max", removed.percent, *limits.removed_percent_max, "%", 2));
  }
  if (limits.containers_min) {
    findings.push_back(at_least("containers_min", static_cast<double>(verdict_.containers),
                                static_cast<double>(*limits.containers_min), "containers"));
  }
  if (limits.permit_reaction_us_max) {
    if (permit_lost_) worst_reaction_us_ = (verdict_.end - *permit_lost_).raw;
    Finding finding = at_most("permit_reaction_us_max", static_cast<double>(worst_reaction_us_),
                              static_cast<double>(*limits.permit_reaction_us_max), "us", 0);
    finding.first_at = worst_reaction_at_;
    findings.push_back(finding);
  }
}

void Judge::finish_controller() {
  for (const Counter counter : scenario_.must_reach) {
    const std::string name = kCounterTable[static_cast<std::size_t>(counter)].name;
    const auto found = verdict_.counters.find(name);
    const std::int64_t times = found == verdict_.counters.end() ? 0 : found->second;
    verdict_.findings.push_back(
        at_least(("must_reach " + name).c_str(), static_cast<double>(times), 1.0, "times"));
  }
  verdict_.alarm = alarm_ >= 0 && alarm_ < static_cast<int>(Fault::kCount)
                       ? kFaultTable[static_cast<std::size_t>(alarm_)].name
                       : "unknown";
  Finding alarm = at_most("alarm", alarm_, 0.0, "fault", 0);
  if (scenario_.expect_fault) alarm.allowed = static_cast<double>(*scenario_.expect_fault);
  alarm.outcome = alarm.measured == alarm.allowed ? Outcome::kPass : Outcome::kFail;
  verdict_.findings.push_back(alarm);
}

void Judge::finish_places() {
  for (auto& [number, place] : verdict_.places) {
    const double n = static_cast<double>(place.containers);
    place.sd_kpa = place.containers > 1 ? std::sqrt(place.sd_kpa / (n - 1.0)) : 0.0;
  }
}

void Judge::finish_outcome(const RunEnd& end) {
  if (!end.lost.empty()) {
    verdict_.outcome = Outcome::kInconclusive;
    verdict_.reason = end.lost;
    return;
  }
  for (const Finding& finding : verdict_.findings) {
    if (finding.outcome == Outcome::kPass) continue;
    if (verdict_.outcome == Outcome::kFail) break;
    verdict_.outcome = finding.outcome;
    verdict_.reason = finding.outcome == Outcome::kFail
                          ? finding.name + " is broken"
                          : finding.name + " bound no container: nothing was shown";
  }
  const bool foams = scenario_.plant.product.carbonation_volumes >= kFoamingVolumes;
  if (verdict_.outcome == Outcome::kPass && foams) {
    verdict_.outcome = Outcome::kInconclusive;
    verdict_.reason = "a drink that foams: pressures are indicative, trial required";
  }
}

}  // namespace rimebench
