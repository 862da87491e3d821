#include "harness/judge/judge.hpp"

#include <algorithm>
#include <cmath>

#include "firmware_sim/contract/fault_table.hpp"
#include "harness/judge/finding_text.hpp"
#include "harness/judge/paced_text.hpp"
#include "harness/judge/sensed.hpp"

namespace rimebench {

namespace {

constexpr double kPaPerKpa = 1'000.0;
constexpr double kUgPerG = 1e6;

Breach breach_at(const LedgerRow& row) {
  return {Instant{row.gate_us}, row.container, row.place, static_cast<Cause>(row.cause), {}};
}

}  // namespace

Judge::Judge(const Scenario& scenario)
    : scenario_(scenario),
      limits_(container_limits(scenario.plant.limits)),
      dose_error_(scenario),
      stops_(scenario.plant),
      reactions_(scenario.run_limits),
      valve_(scenario.plant),
      counters_(static_cast<std::size_t>(Counter::kCount)) {}

void Judge::on_change(const SignalChange& change) {
  if (class_of(change.channel) == ChannelClass::kWitness) return on_witness(change);
  if (change.channel == Channel::kValve) {
    if (change.value != 0) ++verdict_.shots;
    if (!verdict_.paced) on_valve(change);
    return;
  }
  reactions_.on_change(change);
  if (change.channel == Channel::kAlarm) {
    on_alarm(change);
  } else if (change.channel == Channel::kRecipeState) {
    verdict_.recipes_taken += change.value == kRecipeAccepted ? 1 : 0;
    verdict_.recipes_refused += change.value < 0 ? 1 : 0;
  } else if (class_of(change.channel) == ChannelClass::kFromController &&
             change.channel >= Channel::kCounterFirst) {
    on_counter(change);
  }
}

void Judge::on_valve(const SignalChange& command) {
  reactions_.on_change(command);
  valve_.on_command(command.at, command.value != 0);
}

/// Where pins are measured, the valve is told what its pin says.
void Judge::on_witness(const SignalChange& change) {
  if (PacedFigures::holds(change.channel)) {
    if (!verdict_.paced) verdict_.paced.emplace();
    (*verdict_.paced)[change.channel] = change.value;
  } else if (change.channel == Channel::kValvePin) {
    on_valve({change.at, Channel::kValve, change.value});
  } else {
    reactions_.on_change(change);
  }
  if (change.channel == Channel::kValveActual) valve_.on_actual(change.at, change.value != 0);
}

void Judge::on_alarm(const SignalChange& change) {
  alarm_ = change.value;
  alarm_at_ = change.at;
  if (alarm_ <= 0 || alarm_ >= static_cast<std::int32_t>(Fault::kCount)) return;
  std::optional<Instant>& raised = raised_[static_cast<std::size_t>(alarm_)];
  if (!raised) raised = change.at;
}

void Judge::on_counter(const SignalChange& change) {
  const auto index =
      static_cast<std::size_t>(number(change.channel) - number(Channel::kCounterFirst));
  if (index < counters_.size()) counters_[index] = change.value;
}

void Judge::on_row(const LedgerRow& row) {
  for (ContainerLimit& limit : limits_) limit.on_row(row);
  dose_error_.on_row(row);
  stops_.on_row(row);
  count_hot(row);
  verdict_.nozzle_g += static_cast<double>(row.nozzle_ug) / kUgPerG;
  if (row.gate_us == 0) {
    ++verdict_.unfinished;
    return;
  }
  ++verdict_.containers;
  count_doses(row);
  if (row.befell != 0) ++verdict_.exposed;
  const bool bad = row.bad != 0;
  if (bad) {
    ++verdict_.bad_by_cause[static_cast<std::size_t>(row.cause)];
    if (verdict_.bad_rows.size() < Verdict::kBadRowsMax) verdict_.bad_rows.push_back(row);
  }
  if (row.removed == 0) return count_good_side(row);
  if (verdict_.removed++ == 0) firsts_.removed = breach_at(row);
  if (!bad && verdict_.false_rejects.count++ == 0) firsts_.false_reject = breach_at(row);
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
  if (row.bad != 0) count_escape(row);
}

void Judge::count_escape(const LedgerRow& row) {
  if (verdict_.escapes.count++ == 0) firsts_.escape = breach_at(row);
  if (row.flagged != 0) {
    ++verdict_.escapes_missed_by_gate;
  } else if (!sensed(row, scenario_.plant)) {
    ++verdict_.escapes_unsensed.count;
  } else if (verdict_.escapes_sensed.count++ == 0) {
    firsts_.sensed_escape = breach_at(row);
  }
}

void Judge::count_doses(const LedgerRow& row) {
  if (row.shots == 0 && verdict_.undosed++ == 0) firsts_.undosed = breach_at(row);
  if (row.shots > 1 && verdict_.double_dosed++ == 0) firsts_.double_dosed = breach_at(row);
}

/// A burst in the reject bin is a burst: of all that were sealed.
void Judge::count_hot(const LedgerRow& row) {
  if (row.seam_us == 0) return;
  ++verdict_.hot_over.of;
  verdict_.hot_most_pa = std::max(verdict_.hot_most_pa, row.hot_prompt_pa);
  if (row.hot_prompt_pa > scenario_.plant.limits.hot_prompt_pa_max) ++verdict_.hot_over.count;
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
  const std::int64_t good_side = verdict_.containers - verdict_.removed;
  for (Share* const share :
       {&verdict_.escapes, &verdict_.escapes_sensed, &verdict_.escapes_unsensed}) {
    *share = share_of(share->count, good_side);
  }
  verdict_.hot_over = share_of(verdict_.hot_over.count, verdict_.hot_over.of);
  verdict_.stops = stops_.figures();
  valve_.finish(end.end);
  verdict_.valve_g = valve_.nitrogen_g();
  verdict_.longest_open_us = valve_.longest_us();
  verdict_.stuck_shots = valve_.stuck();
  for (const FaultRow& row : kFaultTable) {
    if (raised_[static_cast<std::size_t>(row.fault)]) verdict_.faults.emplace_back(row.name);
  }
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
  for (const ContainerLimit& limit : limits_) {
    verdict_.findings.push_back(limit.finding(scenario_.run_limits.escapes_max));
  }
  add_count_findings(scenario_, firsts_, verdict_);
  add_exposure_findings(scenario_, verdict_);
  dose_error_.finish(verdict_);
  reactions_.finish(verdict_.end, verdict_.findings);
  add_valve_findings(scenario_.run_limits, valve_, verdict_);
  add_reach_findings(scenario_, counters_, verdict_);
  add_fault_findings(scenario_, raised_, verdict_);
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
    verdict_.lost = true;
    return;
  }
  if (const auto late = verdict_.paced ? late_reason(*verdict_.paced) : std::nullopt) {
    verdict_.outcome = Outcome::kInconclusive;
    verdict_.reason = *late;
    return;
  }
  for (const Outcome outcome : {Outcome::kFail, Outcome::kInconclusive}) {
    const auto found = std::ranges::find(verdict_.findings, outcome, &Finding::outcome);
    if (found == verdict_.findings.end()) continue;
    verdict_.outcome = outcome;
    verdict_.reason = reason_text(*found);
    return;
  }
  if (foams(scenario_.plant.product)) {
    verdict_.outcome = Outcome::kInconclusive;
    verdict_.reason = "trial required: the drink foams, so its pressures are only indicative";
  }
}

}  // namespace rimebench
