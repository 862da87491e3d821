#include "harness/campaign/suite_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "harness/config/words.hpp"
#include "harness/config/xml_text.hpp"
#include "harness/judge/verdict_json.hpp"

namespace rimebench {

namespace {

constexpr const char* kRed = "\033[31m";
constexpr const char* kPlain = "\033[0m";

const char* claim_word(const SuiteRun& run) {
  return kClaimWords[static_cast<std::size_t>(run.scenario.claim)];
}

std::string record_word(const SuiteRun& run, const SuiteView& view) {
  if (!view.compared) return "";
  if (!run.recorded) return "new";
  return run.changes.empty() ? "same" : "changed";
}

/// Cut to the terminal's width, so that no row breaks.
std::string fitted(const std::string& line, std::size_t columns) {
  return line.size() <= columns ? line : line.substr(0, columns - 3) + "...";
}

/// Broken between words; later lines are indented.
std::string folded(const std::string& text, std::size_t indent, std::size_t columns) {
  std::string result(indent, ' ');
  std::size_t used = indent;
  for (std::size_t start = 0; start < text.size();) {
    const std::size_t space = std::min(text.find(' ', start), text.size());
    const std::string word = text.substr(start, space - start);
    if (used > indent && used + 1 + word.size() > columns) {
      result += "\n" + std::string(indent, ' ');
      used = indent;
    }
    if (used > indent) result += ' ', ++used;
    result += word;
    used += word.size();
    start = space + 1;
  }
  return result + "\n";
}

std::string row_text(const SuiteRun& run, const SuiteView& view, std::size_t width) {
  const Verdict& verdict = run.verdict;
  const bool well = run.as_claimed && (!view.compared || (run.recorded && run.changes.empty()));
  const std::string line =
      fmt::format("{} {:<{}} {:<8}{:<13}{:>10}{:>8}{:>8}{:>8}{:>14.2f}  {}", well ? "ok  " : "LOOK",
                  run.scenario.name, width, claim_word(run), to_text(verdict.outcome),
                  verdict.containers, verdict.removed, verdict.escapes.count, verdict.exposed,
                  verdict.false_rejects.percent, record_word(run, view));
  const std::string shown = fitted(line, view.columns);
  return (view.colour && !well ? kRed + shown + kPlain : shown) + "\n";
}

std::string detail_text(const SuiteRun& run, const SuiteView& view) {
  std::string text;
  if (!run.as_claimed) {
    text += folded(
        fmt::format("claims {}, ended {}: {}", claim_word(run), to_text(run.verdict.outcome),
                    run.verdict.reason.empty() ? "every expectation is met" : run.verdict.reason),
        4, view.columns);
  }
  for (const std::string& change : run.changes) text += folded(change, 4, view.columns);
  if (text.empty()) return text;
  return "\n" + run.scenario.name + "\n" + text +
         fmt::format("    repeat: rimebench run {}/{}.yaml\n", view.folder, run.scenario.name);
}

struct JunitCase {
  std::string text;
  bool failed{};
  bool error{};  ///< the run was lost: it proves nothing
};

JunitCase junit_case(const SuiteRun& run, const SuiteView& view) {
  JunitCase one;
  one.text = fmt::format("  <testcase classname=\"{}\" name=\"{}\"", xml_text(view.folder),
                         xml_text(run.scenario.name));
  std::string detail = detail_text(run, view);
  const bool is_new = view.compared && !run.recorded;
  if (is_new) detail += "new: not recorded yet\n";
  if (detail.empty()) {
    one.text += "/>\n";
    return one;
  }
  one.error = proves_nothing(run);
  one.failed = !one.error;
  std::string message = "not recorded yet";
  if (!run.changes.empty()) message = run.changes.front();
  if (!run.as_claimed) {
    message = run.verdict.reason.empty()
                  ? fmt::format("claims {}, but every expectation is met", claim_word(run))
                  : run.verdict.reason;
  }
  one.text += fmt::format(">\n    <{0} type=\"{1}\" message=\"{2}\">{3}</{0}>\n  </testcase>\n",
                          one.error ? "error" : "failure", run.as_claimed ? "record" : "claim",
                          xml_text(message), xml_text(detail));
  return one;
}

}  // namespace

bool all_well(const std::vector<SuiteRun>& runs, const SuiteView& view) {
  const auto well = [&](const SuiteRun& run) {
    return run.as_claimed && (!view.compared || (run.recorded && run.changes.empty()));
  };
  return std::ranges::all_of(runs, well) && view.gone.empty();
}

std::string suite_terminal(const std::vector<SuiteRun>& runs, const SuiteView& view) {
  std::size_t width = 8;
  for (const SuiteRun& run : runs) width = std::max(width, run.scenario.name.size());
  std::string text =
      fitted(fmt::format("     {:<{}} {:<8}{:<13}{:>10}{:>8}{:>8}{:>8}{:>14}  record", "scenario",
                         width, "claim", "verdict", "containers", "removed", "escapes", "exposed",
                         "false rej. %"),
             view.columns) +
      "\n";
  for (const SuiteRun& run : runs) text += row_text(run, view, width);
  for (const SuiteRun& run : runs) text += detail_text(run, view);
  for (const std::string& name : view.gone) {
    text += fmt::format("\n{}\n    recorded, but there is no such scenario any more\n", name);
  }
  const auto count = [&](auto is) { return std::ranges::count_if(runs, is); };
  text += fmt::format("\n{} scenarios: {} as claimed", runs.size(),
                      count([](const SuiteRun& run) { return run.as_claimed; }));
  if (view.compared) {
    text += fmt::format(", {} as recorded, {} changed, {} new, {} gone",
                        count([](const SuiteRun& r) { return r.recorded && r.changes.empty(); }),
                        count([](const SuiteRun& r) { return !r.changes.empty(); }),
                        count([](const SuiteRun& r) { return !r.recorded; }), view.gone.size());
  }
  if (view.left_out > 0) text += fmt::format("; {} long, left out (--long)", view.left_out);
  return text + "\n";
}

std::string suite_json(const std::vector<SuiteRun>& runs, const SuiteView& view) {
  nlohmann::ordered_json json{{"folder", view.folder},
                              {"compared", view.compared},
                              {"well", all_well(runs, view)},
                              {"left_out", view.left_out},
                              {"gone", view.gone}};
  json["scenarios"] = nlohmann::ordered_json::array();
  for (const SuiteRun& run : runs) {
    nlohmann::ordered_json figures{{"scenario", run.scenario.name},
                                   {"claim", claim_word(run)},
                                   {"as_claimed", run.as_claimed},
                                   {"reason", run.verdict.reason},
                                   {"exposed", run.verdict.exposed},
                                   {"false_rejects_percent", run.verdict.false_rejects.percent},
                                   {"record", record_word(run, view)},
                                   {"changes", run.changes}};
    for (const TextFigure& row : kTextFigures) figures[row.key] = run.figures.*row.value;
    for (const CountFigure& row : kCountFigures) figures[row.key] = run.figures.*row.value;
    json["scenarios"].push_back(figures);
  }
  return json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

std::string suite_junit(const std::vector<SuiteRun>& runs, const SuiteView& view) {
  std::string cases;
  std::size_t failures = 0, errors = 0;
  SuiteView plain = view;
  plain.colour = false;
  for (const SuiteRun& run : runs) {
    const JunitCase one = junit_case(run, plain);
    cases += one.text;
    failures += one.failed ? 1 : 0;
    errors += one.error ? 1 : 0;
  }
  for (const std::string& name : view.gone) {
    ++failures;
    cases += fmt::format(
        "  <testcase classname=\"{}\" name=\"{}\">\n    <failure type=\"record\" "
        "message=\"recorded, but there is no such scenario any more\"/>\n  </testcase>\n",
        xml_text(view.folder), xml_text(name));
  }
  return fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuite name=\"{}\" tests=\"{}\" "
      "failures=\"{}\" errors=\"{}\" skipped=\"0\">\n{}</testsuite>\n",
      xml_text(view.folder), runs.size() + view.gone.size(), failures, errors, cases);
}

}  // namespace rimebench
