#include "harness/cli/audit_dossier.hpp"

#include <fmt/format.h>

#include "harness/cli/change_text.hpp"
#include "harness/dossier/blocks.hpp"
#include "harness/dossier/names.hpp"
#include "harness/judge/verdict_json.hpp"

namespace rimebench {

namespace {

/// Of one kind of fault, so many are listed.
constexpr std::size_t kFaultsShown = 50;

Cell time_us(double us) { return Figure{us, Measure::kTimeUs}; }
Cell seconds(double us) { return Figure{us / 1e6, Measure::kTimeS}; }
std::int64_t size_of(const auto& all) { return static_cast<std::int64_t>(all.size()); }

TableBlock measured_table() {
  TableBlock table;
  table.columns = {{"what"}};
  for (const char* name : {"count", "left out as outliers", "median", "deviation", "mean",
                           "95 % confidence from", "to"}) {
    table.columns.push_back({name, {}, {}, true});
  }
  return table;
}

void add_measured(TableBlock& table, const std::string& what, const Measured& m, Measure unit) {
  if (m.count == 0) return;
  const auto cell = [&](double value) -> Cell { return Figure{value, unit}; };
  table.rows.push_back({what, static_cast<std::int64_t>(m.count),
                        static_cast<std::int64_t>(m.outliers), cell(m.median), cell(m.sd),
                        cell(m.mean.value), cell(m.mean.low), cell(m.mean.high)});
}

TableBlock timing_table(const AuditReport& report) {
  TableBlock table = measured_table();
  add_measured(table, "sensor edge to the valve's command", report.delay_us, Measure::kTimeUs);
  add_measured(table, "landing after it was asked for", report.late_us, Measure::kTimeUs);
  add_measured(table, "the same along the belt", report.late_um, Measure::kLengthUm);
  for (const auto& [place, row] : report.places) {
    add_measured(table, fmt::format("length of a shot, place {}", place), row.length_us,
                 Measure::kTimeUs);
    if (!row.asked_us) continue;
    add_measured(table, fmt::format("the same, off what was asked, place {}", place), row.off_us,
                 Measure::kTimeUs);
  }
  if (report.valve) {
    add_measured(table, "valve opens after its command", report.valve->open_us, Measure::kTimeUs);
    add_measured(table, "valve closes after its command", report.valve->close_us, Measure::kTimeUs);
  }
  return table;
}

FactsBlock counted_facts(const AuditReport& report) {
  return {{{"containers", size_of(report.containers)},
           {"shots", size_of(report.shots)},
           {"containers without a shot", size_of(report.missing)},
           {"the same, and our controller gives none either", size_of(report.refused)},
           {"containers with more than one shot", size_of(report.doubles)},
           {"shots that no container waited for", size_of(report.orphans)},
           {"shots to dry, cool or test the head", report.service},
           {"shots for containers seen before the capture", report.before_capture},
           {"shots cut by its begin or end", report.cut_shots},
           {"line pulses", static_cast<std::int64_t>(report.pulses.pulses)},
           {"line pulses lost", static_cast<std::int64_t>(report.pulses.lost)},
           {"line pulses too many", static_cast<std::int64_t>(report.pulses.extra)}}};
}

TableBlock faults_table(const AuditReport& report) {
  TableBlock table;
  table.columns = {{"when"}, {"what"}, {"container", {}, {}, true}};
  std::int64_t total = 0;
  const auto list = [&](const char* what, const std::vector<ShotFault>& faults) {
    total += size_of(faults);
    for (std::size_t i = 0; i < std::min(faults.size(), kFaultsShown); ++i) {
      table.rows.push_back({seconds(faults[i].at_us), std::string(what), Cell{}});
      if (faults[i].container > 0) table.rows.back().back() = faults[i].container;
    }
  };
  list("no shot", report.missing);
  list("more than one shot", report.doubles);
  list("a shot that no container waited for", report.orphans);
  if (total > size_of(table.rows)) table.total = total;
  return table;
}

TableBlock corrections_table(const AuditReport& report) {
  TableBlock table;
  table.columns = {{"key of the recipe", {}, {}, false, "code"}};
  for (const char* name : {"is", "should be", "measured", "95 % confidence from", "to"}) {
    table.columns.push_back({name, {}, {}, true});
  }
  table.columns.push_back({"that moves the landing", Measure::kLengthUm, {}, true});
  for (const Correction& one : report.corrections) {
    table.rows.push_back({std::string(one.key), std::int64_t{one.old_value},
                          std::int64_t{one.new_value}, one.measured.value, one.measured.low,
                          one.measured.high, one.landing_um});
  }
  return table;
}

TableBlock controller_table(const AuditReport& report) {
  TableBlock table;
  if (!report.comparison) return table;
  const ChangeText names;
  table.columns = {{"channel"}};
  for (const char* name : {"edges captured", "agreed", "only the controller's", "later, median"}) {
    table.columns.push_back({name, {}, {}, true});
  }
  for (const ChannelComparison& row : report.comparison->channels) {
    table.rows.push_back({in_words(names.name(row.channel)),
                          static_cast<std::int64_t>(row.captured),
                          static_cast<std::int64_t>(row.agreed),
                          static_cast<std::int64_t>(row.only_core), time_us(row.later_us.median)});
  }
  return table;
}

TableBlock law_table(const AuditReport& report) {
  TableBlock table;
  if (!report.law) return table;
  const DelayLaw& law = *report.law;
  table.columns = {{"what is constant"}};
  for (const char* name : {"fitted", "95 % confidence from", "to", "leaves"}) {
    table.columns.push_back({name, {}, {}, true});
  }
  const auto add_row = [&](const char* what, const Estimate& fitted, Measure unit, Cell leaves) {
    table.rows.push_back({std::string(what), Figure{fitted.value, unit}, Figure{fitted.low, unit},
                          Figure{fitted.high, unit}, std::move(leaves)});
  };
  add_row("the time alone", law.time_us, Measure::kTimeUs, time_us(law.time_spread_us));
  add_row("the distance alone", law.distance_um, Measure::kLengthUm,
          time_us(law.distance_spread_us));
  if (law.kind == DelayKind::kCannotTell) return table;
  add_row("the time, free of both", law.both_time_us, Measure::kTimeUs, {});
  add_row("the distance, free of both", law.both_distance_um, Measure::kLengthUm, {});
  return table;
}

std::string law_note(const AuditReport& report) {
  if (!report.law) return {};
  return fmt::format(
      "from the sensor's edge to the landing, over speeds that differ by {:.0f} %; {}",
      report.law->speed_range * 100.0, law_sentence(*report.law));
}

/// The first edge in which line and controller differ, with what came before it.
TableBlock difference_table(const AuditReport& report) {
  TableBlock table;
  if (!report.comparison || !report.comparison->first) return table;
  const ReplayDifference& difference = *report.comparison->first;
  const ChangeText names;
  table.columns = {{"when", Measure::kTimeUs}, {"who"}, {"channel"}, {"value", {}, {}, true}};
  const auto add_row = [&](const char* who, const SignalChange& change) {
    table.rows.push_back({Figure{static_cast<double>(change.at.us), Measure::kTimeUs},
                          std::string(who), in_words(names.name(change.channel)),
                          std::int64_t{change.value}});
  };
  for (const SignalChange& change : difference.before) {
    const bool input = class_of(change.channel) == ChannelClass::kToController;
    add_row(input ? "input" : "the controller, as the line", change);
  }
  if (difference.recorded) add_row("the line alone", *difference.recorded);
  if (difference.replayed) add_row("the controller alone", *difference.replayed);
  return table;
}

FactsBlock untold_facts(const AuditReport& report) {
  FactsBlock facts;
  for (const std::string& sentence : not_told(report)) facts.rows.push_back({"not told", sentence});
  return facts;
}

}  // namespace

Document audit_dossier(const AuditReport& report, const AuditContext& context,
                       const std::string& repeat) {
  Document document;
  document.title = "Audit of " + context.file;
  document.subtitle = "what the line did against what its recipe asks";
  document.kind = "audit";
  document.outcome = to_text(outcome_of(report));
  for (const AuditReason reason : report.reasons) {
    document.why.push_back(reason_text(report, reason));
  }
  if (report.reasons.empty()) document.why.emplace_back("the line does what its recipe asks");
  document.figures = {{"containers", size_of(report.containers)},
                      {"shots", size_of(report.shots)},
                      {"without a shot", size_of(report.missing)},
                      {"landing late, mean", time_us(report.late_us.mean.value)}};
  document.about = {{"capture", context.file},
                    {"line", context.line},
                    {"recipe", context.recipe},
                    {"length", seconds(static_cast<double>((report.end - report.begin).raw))}};
  document.repeat = repeat;
  add_usual_cautions(document);
  add(document, {"counted", "What was seen"}, counted_facts(report));
  add(document, {"timing_figures", "Timing as measured"}, timing_table(report));
  add(document, {"law", "Does the delay follow the belt?", law_note(report)}, law_table(report));
  add(document, {"corrections", "Where the recipe does not fit the line"},
      corrections_table(report));
  add(document, {"controller", "Our controller with the same inputs, edge by edge"},
      controller_table(report));
  add(document, {"difference", "The first edge that differs, and what came before it"},
      difference_table(report));
  add(document, {"faults", "Shots and containers that do not belong together"},
      faults_table(report));
  add(document, {"untold", "What the capture cannot tell"}, untold_facts(report));
  return document;
}

}  // namespace rimebench
