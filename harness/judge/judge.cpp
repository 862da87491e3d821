#include "harness/judge/judge.hpp"

#include <algorithm>
#include <cmath>

#include "firmware_sim/contract/fault_table.hpp"
#include "harness/judge/finding_text.hpp"

namespace rimebench {

namespace {

constexpr double kPaPerKpa = 1'000.0;
constexpr double kUgPerG = 1e6;

/// A controller has no sensor for the fill, nor for the gas that a good shot left behind.
bool unseeable(const LedgerRow& row) {
  const auto cause = static_cast<Cause>(row.cause);
  return cause == Cause::kFill || cause == Cause::kOxygen;
}

Breach breach_at(const LedgerRow& row) {
  return {Instant{row.gate_us}, row.container, row.place, static_cast<Cause>(row.cause), {}};
}

Finding at_most(Finding finding, std::int64_t containers, const std::optional<Breach>& first) {
  finding.bound = Bound::kAtMost;
  if (containers == 0) {
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

}  // namespace

Judge::Judge(const Scenario& scenario)
    : scenario_(scenario), limits_(container_limits(scenario.plant.limits)) {
  const auto& reaction_us_max = scenario.run_limits.permit_reaction_us_max;
  if (reaction_us_max) permit_.emplace(*reaction_us_max);
}

void Judge::on_change(const SignalChange& change) {
  if (change.channel == Channel::kRunPermit) {
    if (permit_) permit_->on_permit(change.at, change.value != 0);
  } else if (change.channel == Channel::kValve) {
    if (change.value != 0) ++verdict_.shots;
    if (permit_) permit_->on_valve(change.at, change.value != 0);
  } else if (change.channel == Channel::kAlarm) {
    alarm_ = change.value;
    alarm_at_ = change.at;
  } else if (change.channel >= Channel::kCounterFirst) {
    on_counter(change);
  }
}

void Judge::on_counter(const SignalChange& change) {
  const auto index =
      static_cast<std::size_t>(number(change.channel) - number(Channel::kCounterFirst));
  if (index < counters_.size()) counters_[index] = change.value;
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
  if (row.removed == 0) return count_good_side(row);
  if (verdict_.removed++ == 0) first_removed_ = breach_at(row);
  if (!bad && verdict_.false_rejects.count++ == 0) first_false_reject_ = breach_at(row);
}

/// Mean and deviation by Welford's recurrence.
void Judge::count_good_side(const LedgerRow& row) {
  PlaceFigures& place = verdict_.places[row.place];
  const double kpa = static_cast<double>(row.equilibrium_pa) / kPaPerKpa;
  ++place.containers;
  if (place.containers == 1) place.least_kpa = place.most_kpa = kpa;
  place.least_kpa = std::min(place.least_kpa, kpa);
  place.most_kpa = std::max(place.most_kpa, kpa);
  const double away = kpa - place.mean_kpa;
  place.mean_kpa += away / static_cast<double>(place.containers);
  place.sd_kpa += away * (kpa - place.mean_kpa);
  if (row.bad == 0) return;
  if (verdict_.escapes.count++ == 0) first_escape_ = breach_at(row);
  if (row.flagged != 0) {
    ++verdict_.escapes_missed_by_gate;
  } else {
    ++verdict_.escapes_unflagged;
    if (unseeable(row)) ++verdict_.escapes_unseeable;
  }
}

Verdict Judge::finish(const RunEnd& end) {
  finish_figures(end);
  finish_findings();
  finish_outcome(end);
  return verdict_;
}

void Judge::finish_figures(const RunEnd& end) {
  verdict_.digest = end.digest;
  verdict_.signal_changes = end.signal_changes;
  verdict_.exchanges = end.exchanges;
  verdict_.end = end.end;
  verdict_.escapes = share_of(verdict_.escapes.count, verdict_.containers - verdict_.removed);
  verdict_.false_rejects = share_of(verdict_.false_rejects.count, verdict_.containers);
  for (auto& [number, place] : verdict_.places) {
    const double n = static_cast<double>(place.containers);
    place.sd_kpa = place.containers > 1 ? std::sqrt(place.sd_kpa / (n - 1.0)) : 0.0;
  }
  for (std::size_t i = 0; i < counters_.size(); ++i) {
    if (counters_[i] != 0) verdict_.counters[kCounterTable[i].name] = counters_[i];
  }
}

void Judge::finish_findings() {
  const RunLimits& limits = scenario_.run_limits;
  const std::int64_t containers = verdict_.containers;
  std::vector<Finding>& findings = verdict_.findings;
  for (const ContainerLimit& limit : limits_) findings.push_back(limit.finding());
  findings.push_back(at_most({.name = "escapes_max",
                              .words = "escapes",
                              .measured = static_cast<double>(verdict_.escapes.count),
                              .allowed = static_cast<double>(limits.escapes_max),
                              .unit = "containers"},
                             containers, first_escape_));
  if (limits.false_rejects_percent_max) {
    findings.push_back(at_most({.name = "false_rejects_percent_max",
                                .words = "false rejects",
                                .measured = verdict_.false_rejects.percent,
                                .allowed = *limits.false_rejects_percent_max,
                                .unit = "%",
                                .decimals = 2},
                               containers, first_false_reject_));
  }
  if (limits.removed_percent_max) {
    findings.push_back(at_most({.name = "removed_percent_max",
                                .words = "taken out at the gate",
                                .measured = share_of(verdict_.removed, containers).percent,
                                .allowed = *limits.removed_percent_max,
                                .unit = "%",
                                .decimals = 2},
                               containers, first_removed_));
  }
  if (limits.containers_min) {
    findings.push_back(at_least({.name = "containers_min",
                                 .words = "finished",
                                 .measured = static_cast<double>(containers),
                                 .allowed = static_cast<double>(*limits.containers_min),
                                 .unit = "containers"}));
  }
  if (permit_) findings.push_back(permit_->finding(verdict_.end));
  finish_controller();
}

void Judge::finish_controller() {
  for (const Counter counter : scenario_.must_reach) {
    const std::string name = kCounterTable[static_cast<std::size_t>(counter)].name;
    const std::int64_t times = counters_[static_cast<std::size_t>(counter)];
    verdict_.findings.push_back(at_least({.name = "must_reach " + name,
                                          .words = name,
                                          .measured = static_cast<double>(times),
                                          .allowed = 1.0,
                                          .unit = "times"}));
  }
  Finding alarm = alarm_finding();
  verdict_.alarm = figure_text(alarm, alarm.measured);
  verdict_.findings.push_back(std::move(alarm));
}

/// The alarm that stands at the end must be the one expected, or none.
Finding Judge::alarm_finding() const {
  Finding finding{.name = "alarm",
                  .words = "alarm at the end",
                  .bound = Bound::kEquals,
                  .measured = static_cast<double>(alarm_),
                  .allowed = static_cast<double>(scenario_.expect_fault.value_or(Fault::kNone)),
                  .unit = "fault"};
  if (finding.measured == finding.allowed) return finding;
  finding.outcome = Outcome::kFail;
  if (alarm_ != 0) finding.first = Breach{alarm_at_, 0, 0, Cause::kNone, {}};
  return finding;
}

void Judge::finish_outcome(const RunEnd& end) {
  if (!end.lost.empty()) {
    verdict_.outcome = Outcome::kInconclusive;
    verdict_.reason = end.lost;
    return;
  }
  for (const Outcome outcome : {Outcome::kFail, Outcome::kInconclusive}) {
    const auto found = std::ranges::find(verdict_.findings, outcome, &Finding::outcome);
    if (found == verdict_.findings.end()) continue;
    verdict_.outcome = outcome;
    verdict_.reason = reason_text(*found);
    return;
  }
  if (scenario_.plant.product.carbonation_volumes >= kFoamingVolumes) {
    verdict_.outcome = Outcome::kInconclusive;
    verdict_.reason = "trial required: the drink foams, so its pressures are only indicative";
  }
}

}  // namespace rimebench
