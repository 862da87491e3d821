#include "harness/cli/compare_command.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <ostream>

#include "harness/campaign/recorder.hpp"
#include "harness/cli/node_option.hpp"
#include "harness/cli/report_file.hpp"
#include "harness/cli/shell_word.hpp"
#include "harness/config/load.hpp"
#include "harness/dossier/compare_dossier.hpp"
#include "harness/judge/verdict_json.hpp"
#include "harness/session/lockstep.hpp"
#include "harness/trace/output_file.hpp"

namespace rimebench {

namespace {

using Candidate = RecipeRun;

/// A Recorder that passes the rows on to the pairing.
class CandidateRun final : public RunSink {
 public:
  using TakeRow = void (PairedRuns::*)(const LedgerRow&);

  CandidateRun(const Scenario& scenario, PairedRuns& pairs, TakeRow take_row)
      : recorder_(scenario), pairs_(pairs), take_row_(take_row) {}

  void on_change(const SignalChange& change) override { recorder_.on_change(change); }
  void on_row(const LedgerRow& row) override {
    recorder_.on_row(row);
    (pairs_.*take_row_)(row);
  }
  Verdict run(const Scenario& scenario) {
    LockstepResult result;
    std::string lost;
    try {
      const auto node = open_node("inproc", scenario.plant.happens);
      run_lockstep(scenario.plant, *node, {}, *this, result);
    } catch (const LinkError& error) {
      lost = error.what();
    }
    return recorder_.finish(result.end, result.exchanges, lost);
  }

 private:
  Recorder recorder_;
  PairedRuns& pairs_;
  TakeRow take_row_;
};

constexpr double kPaPerKpa = 1000.0;

std::string interval(const PairedMean& mean, double unit, const char* name) {
  if (mean.pairs < 2) return fmt::format("{} pairs: nothing can be said", mean.pairs);
  return fmt::format("{:+.2f} {} (95 % confidence {:+.2f} to {:+.2f}, {} pairs)", mean.mean / unit,
                     name, mean.low / unit, mean.high / unit, mean.pairs);
}

std::string row_text(const Candidate& candidate, std::size_t index) {
  const Verdict& verdict = candidate.verdict;
  return fmt::format("  {}  {:<12} {:>8} of {:<8} {:>8} {:>10.1f}  {}\n",
                     static_cast<char>('A' + index), to_text(verdict.outcome),
                     verdict.escapes.count, verdict.escapes.of, verdict.false_rejects.count,
                     verdict.nozzle_g, candidate.recipe);
}

std::string comparison_text(const Candidate& candidate, std::size_t index) {
  const PairedComparison& pairs = candidate.against_first;
  const char letter = static_cast<char>('A' + index);
  std::string text = fmt::format(
      "\n{0} less A, container by container\n"
      "  settled pressure  {1}\n  landing offset    {2}\n",
      letter, interval(pairs.pressure_pa, kPaPerKpa, "kPa"),
      interval(pairs.landing_um, kPaPerKpa, "mm"));
  if (pairs.by_place.size() > 1) {
    for (const auto& [place, mean] : pairs.by_place) {
      text += fmt::format("    place {:<10}  {}\n", place, interval(mean, kPaPerKpa, "kPa"));
    }
  }
  const auto first = [](std::int64_t container) {
    return container > 0 ? fmt::format(" (first: container {})", container) : std::string();
  };
  text += fmt::format("  escapes under A only: {}{}; under {} only: {}{}\n", pairs.only_a_escapes,
                      first(pairs.first_only_a), letter, pairs.only_b_escapes,
                      first(pairs.first_only_b));
  text += fmt::format("  good ones rejected under A only: {}; under {} only: {}\n",
                      pairs.only_a_removed, letter, pairs.only_b_removed);
  if (pairs.unpaired > 0) {
    text += fmt::format("  {} containers passed the gate in one run only\n", pairs.unpaired);
  }
  return text;
}

std::string to_terminal(const std::vector<Candidate>& candidates) {
  const Scenario& scenario = candidates.front().scenario;
  std::string text = fmt::format(
      "{}: {}\n  the same line, containers and chance (seed {}) under {} recipes\n\n"
      "     verdict       escapes              rejected   nitrogen g  recipe\n",
      scenario.name, scenario.title, scenario.plant.seed, candidates.size());
  for (std::size_t i = 0; i < candidates.size(); ++i) text += row_text(candidates[i], i);
  for (std::size_t i = 1; i < candidates.size(); ++i) text += comparison_text(candidates[i], i);
  return text;
}

nlohmann::ordered_json mean_json(const PairedMean& mean) {
  return {{"pairs", mean.pairs}, {"mean", mean.mean}, {"low", mean.low}, {"high", mean.high}};
}

std::string to_json(const std::vector<Candidate>& candidates) {
  nlohmann::ordered_json json;
  json["scenario"] = candidates.front().scenario.name;
  json["seed"] = candidates.front().scenario.plant.seed;
  json["recipes"] = nlohmann::ordered_json::array();
  for (const Candidate& candidate : candidates) {
    const Verdict& verdict = candidate.verdict;
    nlohmann::ordered_json row;
    row["recipe"] = candidate.recipe;
    row["verdict"] = to_text(verdict.outcome);
    row["digest"] = fmt::format("{:016x}", verdict.digest);
    row["containers"] = verdict.containers;
    row["escapes"] = verdict.escapes.count;
    row["false_rejects"] = verdict.false_rejects.count;
    row["nozzle_g"] = verdict.nozzle_g;
    if (&candidate != &candidates.front()) {
      const PairedComparison& pairs = candidate.against_first;
      nlohmann::ordered_json against;
      against["equilibrium_pa"] = mean_json(pairs.pressure_pa);
      against["landing_offset_um"] = mean_json(pairs.landing_um);
      for (const auto& [place, mean] : pairs.by_place) {
        against["equilibrium_pa_by_place"][std::to_string(place)] = mean_json(mean);
      }
      against["escapes_only_first"] = pairs.only_a_escapes;
      against["escapes_only_this"] = pairs.only_b_escapes;
      against["unpaired"] = pairs.unpaired;
      row["less_first"] = against;
    }
    json["recipes"].push_back(row);
  }
  return json.dump(2) + '\n';
}

std::string repeat_command(const CompareOptions& options) {
  std::string command = "rimebench compare " + shell_word(options.file);
  for (const std::string& recipe : options.recipes) command += " --recipe " + shell_word(recipe);
  return command;
}

}  // namespace

ExitCode compare_command(const CompareOptions& options, std::ostream& out, std::ostream& err) {
  std::vector<Candidate> candidates;
  Diagnostics diagnostics;
  for (const std::string& recipe : options.recipes) {
    auto scenario = load_scenario(options.file, {{}, recipe}, diagnostics);
    if (scenario) candidates.push_back({recipe, std::move(*scenario), {}, {}});
  }
  if (!diagnostics.empty()) {
    for (const Diagnostic& diagnostic : diagnostics) err << to_text(diagnostic) << "\n";
    return ExitCode::kBadInput;
  }
  std::optional<ReportFile> report;
  if (!begin_report(options.report, report, err)) return ExitCode::kBadInput;
  PairedRuns first;
  for (Candidate& candidate : candidates) {
    const bool is_first = &candidate == &candidates.front();
    PairedRuns pairs = first;  // what the first run left
    CandidateRun run(candidate.scenario, is_first ? first : pairs,
                     is_first ? &PairedRuns::on_row_a : &PairedRuns::on_row_b);
    candidate.verdict = run.run(candidate.scenario);
    if (!is_first) candidate.against_first = pairs.finish();
  }
  if (report) report->write(compare_dossier(candidates, repeat_command(options)));
  if (!options.json.empty() && options.json != "-") {
    write_whole_file(options.json, to_json(candidates));
  }
  out << (options.json == "-" ? to_json(candidates) : to_terminal(candidates));
  return exit_code(outcome_of(candidates));
}

}  // namespace rimebench
