#include "harness/cli/trim_command.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <ostream>

#include "harness/cli/scenario_files.hpp"
#include "harness/cli/trim_text.hpp"
#include "harness/config/csv_table.hpp"
#include "harness/config/recipe_text.hpp"
#include "harness/trace/output_file.hpp"

namespace rimebench {

namespace {

constexpr double kPaPerKpa = 1000.0;
constexpr double kPaPerPsi = 6894.757293168;
/// The sealed liquid has boiled off by then; before, a reading is still rising.
constexpr double kBoiledTaus = 3.0;
/// A fill above this share of the brimful volume leaves no headspace to speak of.
constexpr double kFillShareMax = 0.995;

double last_rising(const RecipeValues& recipe, Parameter list) {
  int last = 0;
  while (last + 1 < kCurvePoints && recipe.get(list, last + 1) > recipe.get(list, last)) ++last;
  return recipe.get(list, last);
}

/// Columns that may stand under either of two names, one of which is needed where `needed`.
std::vector<double> either(CsvTable& table, const CsvColumn& one, const CsvColumn& other,
                           bool needed, Diagnostics& diagnostics) {
  if (table.has(one.name) && table.has(other.name)) {
    diagnostics.push_back(table.mistake(
        std::nullopt, one.name, std::string("beside ") + other.name + ": give one of the two"));
  }
  if (needed && !table.has(one.name) && !table.has(other.name)) {
    diagnostics.push_back(
        table.mistake(std::nullopt, one.name, std::string("no such column, nor ") + other.name));
  }
  auto values = table.numbers(one, diagnostics);
  const auto others = table.numbers(other, diagnostics);
  return values.empty() ? others : values;
}

class ReadingsTable {
 public:
  ReadingsTable(CsvTable& table, const PlantSpec& spec, Diagnostics& diagnostics)
      : table_(table), spec_(spec), diagnostics_(diagnostics) {}

  std::vector<PackReading> read() {
    std::vector<PackReading> packs(table_.rows());
    read_places(packs);
    read_gauge(packs);
    const double curing_min = kBoiledTaus * spec_.line.boil_off.tau_lid_s / 60.0;
    fill(packs, &PackReading::pack_c, {"pack_c", "C", 1, 80});
    fill(packs, &PackReading::minutes, {"minutes", "min", curing_min, 1'000'000});
    fill(packs, &PackReading::dead_ml, {"dead_ml", "ml", 0, 50});
    fill(packs, &PackReading::fill_g,
         {"fill_g", "g", 1, kFillShareMax * spec_.container.brimful_ml});
    const auto shaken = table_.yes_no("shaken", diagnostics_);
    for (std::size_t i = 0; i < shaken.size(); ++i) packs[i].shaken = shaken[i];
    read_open_times(packs);
    table_.refuse_the_rest(diagnostics_);
    return packs;
  }

 private:
  void fill(std::vector<PackReading>& packs, double PackReading::*member, const CsvColumn& column) {
    const auto values = table_.numbers(column, diagnostics_);
    for (std::size_t i = 0; i < values.size(); ++i) packs[i].*member = values[i];
  }

  void read_places(std::vector<PackReading>& packs) {
    const int places = spec_.recipe.get(Parameter::kPlaceCount);
    const auto most = static_cast<double>(places);
    const auto values = either(table_, {"place", "", 1, most, false}, {"head", "", 1, most, false},
                               places > 1, diagnostics_);
    const char* const name = table_.has("place") ? "place" : "head";
    for (std::size_t i = 0; i < values.size(); ++i) {
      packs[i].place = static_cast<int>(values[i]);
      if (packs[i].place == values[i]) continue;
      diagnostics_.push_back(table_.mistake(i, name, "not a whole number"));
    }
  }

  void read_gauge(std::vector<PackReading>& packs) {
    const bool psi = table_.has("gauge_psi");
    const auto values = either(table_, {"gauge_kpa", "kPa", -100, 2000, false},
                               {"gauge_psi", "psi", -14.5, 290, false}, true, diagnostics_);
    for (std::size_t i = 0; i < values.size(); ++i) {
      packs[i].gauge_Pa = values[i] * (psi ? kPaPerPsi : kPaPerKpa);
    }
  }

  /// Packs of an earlier round were dosed by another recipe: then the open time stands beside them.
  void read_open_times(std::vector<PackReading>& packs) {
    const RecipeValues& recipe = spec_.recipe;
    const double least = recipe.get(Parameter::kOpenCurveUs);
    const double most = last_rising(recipe, Parameter::kOpenCurveUs);
    fill(packs, &PackReading::open_us, {"open_us", "us", least, most, false});
    if (table_.has("open_us")) return;
    for (PackReading& pack : packs) {
      const int place = std::clamp(pack.place, 1, recipe.get(Parameter::kPlaceCount));
      const double dose = recipe_dose_ug(recipe, expected_wait_s(spec_, place));
      pack.open_us = open_us_of(recipe, dose);
    }
  }

  CsvTable& table_;
  const PlantSpec& spec_;
  Diagnostics& diagnostics_;
};

ExitCode refuse(const Diagnostics& diagnostics, std::ostream& err) {
  for (const Diagnostic& diagnostic : in_file_order(diagnostics))
    err << to_text(diagnostic) << "\n";
  return ExitCode::kBadInput;
}

/// The middle of what the scenario accepts; nothing where it leaves one end open.
std::optional<TrimGoal> goal_of(const TrimOptions& options, const ContainerLimits& limits) {
  const bool bounded = limits.equilibrium_pa_min > std::numeric_limits<std::int64_t>::min() &&
                       limits.equilibrium_pa_max < std::numeric_limits<std::int64_t>::max();
  if (!bounded) return std::nullopt;
  const auto low = static_cast<double>(limits.equilibrium_pa_min);
  const auto high = static_cast<double>(limits.equilibrium_pa_max);
  const double within =
      options.within_kpa > 0.0 ? options.within_kpa * kPaPerKpa : (high - low) / 8.0;
  return TrimGoal{0.5 * (low + high), within, options.confidence_percent / 100.0};
}

ExitCode propose(const TrimOptions& options, const TrimReport& report, std::ostream& out) {
  out << trim_text(report);
  if (!report.proposal.refusals.empty()) {
    out << "no recipe is written\n";
    return ExitCode::kFail;
  }
  if (!options.recipe.empty()) {
    const std::string head =
        fmt::format("# Trimmed from {} packs of {}.\n", report.readings.size(), options.file);
    write_whole_file(options.recipe, head + recipe_text(report.proposal.recipe));
    out << fmt::format("written to {}: the next recipe, whole\n", options.recipe);
  }
  out << sampling_sheet(report);
  return trial_required(report.scenario) ? ExitCode::kInconclusive : ExitCode::kPass;
}

}  // namespace

ExitCode trim_command(const TrimOptions& options, std::ostream& out, std::ostream& err) {
  const auto scenarios = load_scenarios({options.scenario}, {}, err);
  if (!scenarios) return ExitCode::kBadInput;
  const Scenario& scenario = scenarios->front();
  const auto goal = goal_of(options, scenario.plant.limits);
  if (!goal) {
    return refuse({{{options.scenario, 0, 0, "expect.container"},
                    "a trim needs equilibrium_kpa_min and equilibrium_kpa_max: it aims at their "
                    "middle"}},
                  err);
  }
  Diagnostics diagnostics;
  auto table = CsvTable::read(options.file, diagnostics);
  if (!table) return refuse(diagnostics, err);
  const auto readings = ReadingsTable(*table, scenario.plant, diagnostics).read();
  if (!diagnostics.empty()) return refuse(diagnostics, err);
  std::string problem;
  const auto fit = fit_trim(scenario.plant, readings, goal->confidence, problem);
  if (!fit) return refuse({{{options.file, 0, 0, ""}, problem}}, err);
  const TrimProposal proposal = propose_trim(scenario.plant, *fit, *goal);
  const std::vector<int> lines = table->lines();
  return propose(options, {scenario, readings, lines, *fit, proposal, *goal}, out);
}

}  // namespace rimebench
