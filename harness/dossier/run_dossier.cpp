#include "harness/dossier/run_dossier.hpp"

#include <fmt/format.h>

#include <utility>

#include "harness/dossier/blocks.hpp"
#include "harness/dossier/names.hpp"
#include "harness/dossier/run_blocks.hpp"
#include "harness/judge/verdict_json.hpp"
#include "harness/trace/digest.hpp"

namespace rimebench {

namespace {

/// Without figures, which the page shows in its reader's units.
std::string failure_text(const Finding& finding) {
  if (finding.outcome == Outcome::kInconclusive) {
    return finding.words + ": nothing was measured, so nothing is shown";
  }
  const char* const how = finding.bound == Bound::kAtLeast  ? "less than needed"
                          : finding.bound == Bound::kAtMost ? "more than allowed"
                                                            : "not as expected";
  std::string text = fmt::format("{}: {}", in_words(finding.words), how);
  if (finding.looked_at > 0) text += fmt::format(", {} of {}", finding.breaches, finding.looked_at);
  if (finding.first && finding.first->container > 0) {
    text += fmt::format("; the first is container {}, place {}", finding.first->container,
                        finding.first->place);
    if (finding.first->cause != Cause::kNone) {
      text +=
          fmt::format(", cause {}", kCauseNames.at(static_cast<std::size_t>(finding.first->cause)));
    }
  }
  return text;
}

std::vector<std::string> why(const Scenario& scenario, const Verdict& verdict) {
  std::vector<std::string> reasons;
  if (verdict.outcome == Outcome::kPass) reasons.push_back("every expectation is met");
  for (const Finding& finding : verdict.findings) {
    if (finding.outcome == verdict.outcome && verdict.outcome != Outcome::kPass) {
      reasons.push_back(failure_text(finding));
    }
  }
  if (reasons.empty()) reasons.push_back(verdict.reason);  // no finding's matter, as a lost link
  const Outcome expected = expected_outcome(scenario.claim);
  if (verdict.outcome != Outcome::kPass || expected != Outcome::kPass) {
    reasons.push_back(fmt::format("the scenario expects the verdict {}{}{}", to_text(expected),
                                  scenario.reason.empty() ? "" : ": ", scenario.reason));
  }
  return reasons;
}

std::vector<Fact> figures(const Verdict& verdict) {
  std::vector<Fact> facts{{"containers", verdict.containers},
                          {"escapes", Figure{verdict.escapes.percent, Measure::kSharePercent, 3}},
                          {"taken out", verdict.removed}};
  double sum = 0.0;
  std::int64_t containers = 0;
  for (const auto& [number, place] : verdict.places) {
    sum += place.mean_kpa * static_cast<double>(place.containers);
    containers += place.containers;
  }
  if (containers > 0) {
    facts.push_back({"settled pressure, mean",
                     Figure{sum / static_cast<double>(containers), Measure::kPressureKpa, 1}});
  }
  facts.push_back({"nitrogen", Figure{verdict.valve_g, Measure::kMassG, 1}});
  facts.push_back({"alarm", in_words(verdict.alarm)});
  return facts;
}

std::vector<Fact> about(const Scenario& scenario, const Verdict& verdict) {
  return {
      {"scenario", scenario.name},
      {"claim", std::string("the verdict must be ") + to_text(expected_outcome(scenario.claim))},
      {"seed", fmt::format("{}", scenario.plant.seed)},
      {"digest of the signal changes", fmt::format("{:016x}", verdict.digest)},
      {"all its inputs, resolved (XXH64)",
       fmt::format("{:016x}", text_digest(scenario.resolved_text))},
      {"signal changes", static_cast<std::int64_t>(verdict.signal_changes)},
      {"end of line time", Figure{static_cast<double>(verdict.end.us) / 1e6, Measure::kTimeS}}};
}

void add_containers(Document& document, const Scenario& scenario, const Verdict& verdict,
                    const RunLog& log) {
  add(document,
      {"line", "The line, to scale",
       "the container at the moment of a shot that meets its centre, at the first running speed"},
      line_block(scenario.plant.line, scenario.plant.container, scenario.plant.product,
                 first_running(scenario.plant.speed), log.containers().mean_opening()));
  add(document, {"containers", "Every container"}, log.containers().block());
  add(document,
      {"places", "Settled pressure by place",
       fmt::format("at {:.0f} C, containers on the good side of the gate",
                   scenario.plant.limits.judge_c)},
      places_table(verdict));
  add(document, {"failures", "Bad containers"}, failures_table(verdict));
  add(document,
      {"timing", "Timing of single containers",
       "first failures, the extremes of each place and an even sample, with their neighbours"},
      log.pictures().finish());
}

}  // namespace

Document run_dossier(const Scenario& scenario, const Verdict& verdict, RunLog& log,
                     const std::string& repeat) {
  log.finish();
  Document document;
  document.title = scenario.title;
  document.subtitle = scenario.name;
  document.kind = "run";
  document.outcome = to_text(verdict.outcome);
  document.why = why(scenario, verdict);
  document.figures = figures(verdict);
  document.about = about(scenario, verdict);
  document.repeat = repeat;
  add_usual_cautions(document);
  add(document, {"expectations", "Expected and found"}, expectations_block(verdict));
  add_containers(document, scenario, verdict, log);
  add(document, {"lanes", "What was the matter, and when"}, log.lanes().finish(verdict.end));
  add(document,
      {"speed", "Line speed", "as the scenario has it; stops and disturbances are not in it"},
      profile_block(scenario.plant));
  add(document, {"stops", "What each stop may cost", "containers, whatever moment it falls in"},
      stops_table(verdict));
  add(document, {"gate", "What passed the gate"}, gate_facts(verdict));
  add(document, {"nitrogen", "Nitrogen"}, nitrogen_facts(scenario, verdict));
  add(document, {"samples", "Supply and room"}, log.samples().table());
  add(document,
      {"signoff", "Limits and who stands for them",
       "the scenario's approvals; what has no owner is not approved"},
      signoff_block(scenario, verdict));
  add(document, {"controller", "The controller's alarms and counters"}, counter_facts(verdict));
  return document;
}

}  // namespace rimebench
