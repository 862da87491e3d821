#include "harness/dossier/compare_dossier.hpp"

#include <fmt/format.h>

#include "harness/dossier/blocks.hpp"
#include "harness/dossier/run_blocks.hpp"
#include "harness/judge/verdict_json.hpp"

namespace rimebench {

namespace {

constexpr double kPaPerKpa = 1e3;
constexpr double kUmPerMm = 1e3;

std::string letter_of(std::size_t index) { return {static_cast<char>('A' + index)}; }

TableBlock recipes_table(const std::vector<RecipeRun>& runs) {
  TableBlock table;
  table.columns = {{""}, {"recipe", {}, {}, false, "code"}, {"verdict", {}, {}, false, "outcome"}};
  for (const char* name : {"containers", "escapes", "good but taken out"}) {
    table.columns.push_back({name, {}, {}, true});
  }
  table.columns.push_back({"nitrogen", Measure::kMassG, 1, true});
  table.columns.push_back({"digest", {}, {}, false, "code"});
  for (std::size_t i = 0; i < runs.size(); ++i) {
    const Verdict& verdict = runs[i].verdict;
    table.rows.push_back({letter_of(i), runs[i].recipe, std::string(to_text(verdict.outcome)),
                          verdict.containers, verdict.escapes.count, verdict.false_rejects.count,
                          verdict.nozzle_g, fmt::format("{:016x}", verdict.digest)});
  }
  return table;
}

void add_interval(TableBlock& table, const std::string& what, const PairedMean& mean, double unit,
                  Measure quantity) {
  const auto cell = [&](double value) -> Cell {
    if (mean.pairs < 2) return std::monostate{};
    return Figure{value / unit, quantity, 2};
  };
  table.rows.push_back({what, mean.pairs, cell(mean.mean), cell(mean.low), cell(mean.high)});
}

TableBlock differences_table(const PairedComparison& pairs) {
  TableBlock table;
  table.columns = {{"this less A, container by container"}};
  for (const char* name : {"pairs", "mean", "95 % confidence from", "to"}) {
    table.columns.push_back({name, {}, {}, true});
  }
  add_interval(table, "settled pressure", pairs.pressure_pa, kPaPerKpa, Measure::kPressureKpa);
  for (const auto& [place, mean] : pairs.by_place) {
    if (pairs.by_place.size() < 2) break;
    add_interval(table, fmt::format("settled pressure, place {}", place), mean, kPaPerKpa,
                 Measure::kPressureKpa);
  }
  add_interval(table, "landing offset", pairs.landing_um, kUmPerMm, Measure::kLengthMm);
  return table;
}

FactsBlock only_facts(const PairedComparison& pairs) {
  const auto first = [](std::int64_t container) {
    return container > 0 ? fmt::format("the first is container {}", container) : std::string();
  };
  return {{{"escapes under A only", pairs.only_a_escapes, first(pairs.first_only_a)},
           {"escapes under this one only", pairs.only_b_escapes, first(pairs.first_only_b)},
           {"good but taken out under A only", pairs.only_a_removed},
           {"good but taken out under this one only", pairs.only_b_removed},
           {"passed the gate in one run only", pairs.unpaired}}};
}

void state_outcome(Document& document, const std::vector<RecipeRun>& runs) {
  document.outcome = to_text(outcome_of(runs));
  std::string passing;
  for (std::size_t i = 0; i < runs.size(); ++i) {
    if (runs[i].verdict.outcome != Outcome::kPass) continue;
    passing += (passing.empty() ? "" : ", ") + letter_of(i);
  }
  document.why.push_back(passing.empty() ? std::string("under none of the recipes it passes")
                                         : "it passes under " + passing);
  for (std::size_t i = 0; i < runs.size(); ++i) {
    const Verdict& verdict = runs[i].verdict;
    document.figures.push_back({"escapes under " + letter_of(i),
                                Figure{verdict.escapes.percent, Measure::kSharePercent, 3}});
    if (document.figures.size() == 6) break;
  }
}

}  // namespace

Outcome outcome_of(const std::vector<RecipeRun>& runs) {
  for (const RecipeRun& run : runs) {
    if (run.verdict.outcome == Outcome::kPass) return Outcome::kPass;
  }
  return runs.front().verdict.outcome;
}

Document compare_dossier(const std::vector<RecipeRun>& runs, const std::string& repeat) {
  const Scenario& scenario = runs.front().scenario;
  Document document;
  document.title = scenario.title;
  document.subtitle = fmt::format("{}: the same line, containers and chance under {} recipes",
                                  scenario.name, runs.size());
  document.kind = "compare";
  document.about = {{"scenario", scenario.name}, {"seed", fmt::format("{}", scenario.plant.seed)}};
  document.repeat = repeat;
  state_outcome(document, runs);
  add_usual_cautions(document);
  add(document, {"recipes", "The recipes"}, recipes_table(runs));
  for (std::size_t i = 1; i < runs.size(); ++i) {
    const std::string id = static_cast<char>('a' + i) + std::string("_less_a");
    const PairedComparison& pairs = runs[i].against_first;
    add(document, {id, letter_of(i) + " less A"}, differences_table(pairs));
    add(document, {id + "_only", "In one of the two only: A or " + letter_of(i)},
        only_facts(pairs));
  }
  for (std::size_t i = 0; i < runs.size(); ++i) {
    const std::string id = static_cast<char>('a' + i) + std::string("_");
    add(document, {id + "places", "Settled pressure by place under " + letter_of(i)},
        places_table(runs[i].verdict));
    add(document, {id + "expectations", "Expected and found under " + letter_of(i)},
        expectations_block(runs[i].verdict));
  }
  return document;
}

}  // namespace rimebench
