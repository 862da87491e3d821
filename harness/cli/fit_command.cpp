#include "harness/cli/fit_command.hpp"

#include <fmt/format.h>

#include <cmath>
#include <ostream>

#include "harness/cli/fit_text.hpp"
#include "harness/config/csv_table.hpp"
#include "harness/trace/output_file.hpp"

namespace rimebench {

namespace {

constexpr CsvColumn kOpenUs{"open_us", "us", 100, 2'000'000};
constexpr CsvColumn kShots{"shots", "", 1, 100'000};
constexpr CsvColumn kMassG{"mass_g", "g", 1e-4, 10'000};
constexpr CsvColumn kHeadMm{"head_mm", "mm", 1, 10'000, false};
constexpr CsvColumn kTimeS{"time_s", "s", 0, 100'000};
/// The last readings of a balance may scatter below zero.
constexpr CsvColumn kBalanceG{"mass_g", "g", -1, 10'000};

ExitCode refuse(const Diagnostics& diagnostics, std::ostream& err) {
  for (const Diagnostic& diagnostic : in_file_order(diagnostics))
    err << to_text(diagnostic) << "\n";
  return ExitCode::kBadInput;
}

std::vector<Weighing> read_weighings(CsvTable& table, Diagnostics& diagnostics) {
  const auto open_us = table.numbers(kOpenUs, diagnostics);
  const auto shots = table.numbers(kShots, diagnostics);
  const auto mass_g = table.numbers(kMassG, diagnostics);
  const auto head_mm = table.numbers(kHeadMm, diagnostics);
  table.refuse_the_rest(diagnostics);
  std::vector<Weighing> weighings;
  for (std::size_t i = 0; i < table.rows() && diagnostics.empty(); ++i) {
    if (shots[i] != std::floor(shots[i])) {
      diagnostics.push_back(table.mistake(i, kShots.name, "not a whole number of shots"));
    }
    weighings.push_back({open_us[i], shots[i], mass_g[i], head_mm.empty() ? 0.0 : head_mm[i]});
  }
  return weighings;
}

std::vector<BalanceReading> read_balance(CsvTable& table, Diagnostics& diagnostics) {
  const auto time_s = table.numbers(kTimeS, diagnostics);
  const auto mass_g = table.numbers(kBalanceG, diagnostics);
  table.refuse_the_rest(diagnostics);
  std::vector<BalanceReading> readings;
  for (std::size_t i = 0; i < table.rows() && diagnostics.empty(); ++i) {
    if (i > 0 && !(time_s[i] > time_s[i - 1])) {
      diagnostics.push_back(table.mistake(i, kTimeS.name, "time does not rise"));
    }
    readings.push_back({time_s[i], mass_g[i]});
  }
  return readings;
}

void write_fragment(const FitOptions& options, const std::string& text, std::ostream& out) {
  if (options.recipe.empty()) return;
  write_whole_file(options.recipe, text);
  out << fmt::format("\nwritten to {}: a recipe takes it as its from:\n", options.recipe);
}

ExitCode fit_weighings(CsvTable& table, const FitOptions& options, std::ostream& out,
                       std::ostream& err) {
  Diagnostics diagnostics;
  const auto weighings = read_weighings(table, diagnostics);
  if (!diagnostics.empty()) return refuse(diagnostics, err);
  std::string problem;
  const auto fit = fit_valve(weighings, options.confidence_percent / 100.0, problem);
  if (!fit) return refuse({table.mistake(std::nullopt, kOpenUs.name, problem)}, err);
  const FitContext context{options.file, options.confidence_percent, table.lines()};
  out << to_terminal(*fit, weighings, context);
  if (is_bent(*fit)) return ExitCode::kFail;
  write_fragment(options, recipe_fragment(*fit, context), out);
  return ExitCode::kPass;
}

ExitCode fit_balance(CsvTable& table, const FitOptions& options, std::ostream& out,
                     std::ostream& err) {
  Diagnostics diagnostics;
  const auto readings = read_balance(table, diagnostics);
  if (!diagnostics.empty()) return refuse(diagnostics, err);
  std::string problem;
  const auto fit = fit_decay(readings, options.confidence_percent / 100.0, problem);
  if (!fit) return refuse({table.mistake(std::nullopt, kBalanceG.name, problem)}, err);
  const FitContext context{options.file, options.confidence_percent, table.lines()};
  out << to_terminal(*fit, readings, context);
  write_fragment(options, recipe_fragment(*fit, context), out);
  return ExitCode::kPass;
}

}  // namespace

ExitCode fit_command(const FitOptions& options, std::ostream& out, std::ostream& err) {
  Diagnostics diagnostics;
  auto table = CsvTable::read(options.file, diagnostics);
  if (!table) return refuse(diagnostics, err);
  if (table->has(kTimeS.name)) return fit_balance(*table, options, out, err);
  return fit_weighings(*table, options, out, err);
}

}  // namespace rimebench
