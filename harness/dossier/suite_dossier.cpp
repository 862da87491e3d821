#include "harness/dossier/suite_dossier.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "harness/config/words.hpp"
#include "harness/dossier/blocks.hpp"
#include "harness/dossier/names.hpp"
#include "harness/judge/verdict_json.hpp"

namespace rimebench {

namespace {

std::int64_t count(const std::vector<SuiteRun>& runs, auto is) {
  return std::ranges::count_if(runs, is);
}

const char* record_word(const SuiteRun& run, const SuiteView& view) {
  if (!view.compared) return "not compared";
  if (!run.recorded) return "new";
  return run.changes.empty() ? "the same" : "changed";
}

void state_outcome(Document& document, const std::vector<SuiteRun>& runs, const SuiteView& view) {
  document.outcome = all_well(runs, view)                        ? "pass"
                     : std::ranges::any_of(runs, proves_nothing) ? "inconclusive"
                                                                 : "fail";
  const auto claimed = count(runs, [](const SuiteRun& run) { return run.as_claimed; });
  const auto changed = count(runs, [](const SuiteRun& run) { return !run.changes.empty(); });
  const auto total = static_cast<std::int64_t>(runs.size());
  document.why.push_back(
      claimed == total
          ? std::string("every scenario ends as it claims")
          : fmt::format("{} of {} scenarios do not end as they claim", total - claimed, total));
  if (view.compared) {
    document.why.push_back(changed == 0 ? std::string("none has changed against the record")
                                        : fmt::format("{} changed against the record", changed));
  } else {
    document.why.emplace_back("nothing was held against a record");
  }
  if (!view.gone.empty()) {
    document.why.push_back(fmt::format("{} recorded scenarios are gone", view.gone.size()));
  }
  std::int64_t containers = 0, escapes = 0, exposed = 0;
  for (const SuiteRun& run : runs) {
    containers += run.verdict.containers;
    escapes += run.verdict.escapes.count;
    exposed += run.verdict.exposed;
  }
  document.figures = {{"scenarios", total},           {"as claimed", claimed},
                      {"changed", changed},           {"containers", containers},
                      {"met a disturbance", exposed}, {"escapes", escapes}};
}

TableBlock scenarios_table(const std::vector<SuiteRun>& runs, const SuiteView& view) {
  TableBlock table;
  table.columns = {{"scenario", {}, {}, false, "code"},
                   {"what it shows"},
                   {"claim"},
                   {"verdict", {}, {}, false, "outcome"},
                   {"as claimed"}};
  for (const char* name : {"containers", "taken out", "escapes", "met a disturbance"}) {
    table.columns.push_back({name, {}, {}, true});
  }
  table.columns.push_back({"good but taken out", Measure::kSharePercent, 2, true});
  table.columns.push_back({"record"});
  for (const SuiteRun& run : runs) {
    const Verdict& verdict = run.verdict;
    table.rows.push_back({run.scenario.name, run.scenario.title,
                          std::string(kClaimWords[static_cast<std::size_t>(run.scenario.claim)]),
                          std::string(to_text(verdict.outcome)),
                          std::string(run.as_claimed ? "yes" : "NO"), verdict.containers,
                          verdict.removed, verdict.escapes.count, verdict.exposed,
                          verdict.false_rejects.percent, std::string(record_word(run, view))});
  }
  return table;
}

TableBlock differences_table(const std::vector<SuiteRun>& runs, const SuiteView& view) {
  TableBlock table;
  table.columns = {
      {"scenario", {}, {}, false, "code"}, {"what"}, {"repeat", {}, {}, false, "code"}};
  const auto add_row = [&](const std::string& name, const std::string& what) {
    table.rows.push_back({name, what, fmt::format("rimebench run {}/{}.yaml", view.folder, name)});
  };
  for (const SuiteRun& run : runs) {
    if (!run.as_claimed) {
      add_row(run.scenario.name, run.verdict.reason.empty()
                                     ? "not as claimed: every expectation is met"
                                     : "not as claimed: " + run.verdict.reason);
    }
    for (const std::string& change : run.changes) add_row(run.scenario.name, change);
  }
  for (const std::string& name : view.gone) {
    table.rows.push_back(
        {name, std::string("recorded, but there is no such scenario any more"), std::monostate{}});
  }
  return table;
}

/// What each scenario is there for, and what it met.
TableBlock reasons_table(const std::vector<SuiteRun>& runs) {
  TableBlock table;
  table.columns = {{"scenario", {}, {}, false, "code"}, {"why it exists"}, {"alarms"}};
  for (const SuiteRun& run : runs) {
    std::string alarms;
    for (const std::string& fault : run.verdict.faults) {
      alarms += (alarms.empty() ? "" : ", ") + in_words(fault);
    }
    table.rows.push_back({run.scenario.name, run.scenario.reason, alarms});
  }
  return table;
}

}  // namespace

Document suite_dossier(const std::vector<SuiteRun>& runs, const SuiteView& view,
                       const std::string& repeat) {
  Document document;
  document.title = "The suite of " + view.folder;
  document.subtitle = "every scenario against its claim and the folder's record";
  document.kind = "suite";
  document.about = {{"folder", view.folder}};
  if (view.left_out > 0) {
    document.about.push_back({"long scenarios left out", std::int64_t{view.left_out}});
  }
  document.repeat = repeat;
  state_outcome(document, runs, view);
  add_usual_cautions(document);
  add(document, {"differences", "Not as claimed, or not as recorded"},
      differences_table(runs, view));
  add(document, {"scenarios", "Every scenario"}, scenarios_table(runs, view));
  add(document, {"reasons", "What each is there for"}, reasons_table(runs));
  return document;
}

}  // namespace rimebench
