#include "harness/judge/dose_error.hpp"

#include <algorithm>
#include <cmath>

#include "plant_model/spec/befell.hpp"

namespace rimebench {

namespace {

constexpr double kPpm = 1e6;

double landed_share_of(const LossesSpec& losses) {
  return (1.0 - losses.flash_percent / 100.0) * (1.0 - losses.flight_percent / 100.0) *
         (1.0 - losses.splash_percent / 100.0);
}

}  // namespace

DoseError::DoseError(const Scenario& scenario)
    : plant_(scenario.plant),
      limits_(scenario.run_limits),
      landed_share_(landed_share_of(scenario.plant.line.losses)) {}

/// After a changeover the other container has a recipe of its own.
const RecipeValues& DoseError::recipe_of(const LedgerRow& row) const {
  const auto& second = plant_.happens.second_recipe;
  const bool other = has_befallen(row.befell, Befell::kWrongContainer);
  return other && second ? *second : plant_.recipe;
}

/// A list ends where it no longer rises; beyond its ends a curve holds.
double DoseError::wanted_ug(const LedgerRow& row) const {
  const RecipeValues& recipe = recipe_of(row);
  const std::int64_t wait_us = row.wait_us;
  const auto dose = static_cast<double>(recipe.get(Parameter::kDoseUg));
  const auto wait = [&](int i) { return recipe.get(Parameter::kWaitCurveUs, i); };
  const auto gain = [&](int i) {
    return static_cast<double>(recipe.get(Parameter::kWaitCurvePpm, i)) / kPpm;
  };
  if (wait(0) == 0 && wait(1) <= 0 && gain(0) == 0.0) return dose;  // no curve
  if (wait_us <= wait(0)) return dose * gain(0);
  int i = 1;
  for (; i < kCurvePoints && wait(i) > wait(i - 1); ++i) {
    if (wait_us > wait(i)) continue;
    const double along = static_cast<double>(wait_us - wait(i - 1)) / (wait(i) - wait(i - 1));
    return dose * (gain(i - 1) + along * (gain(i) - gain(i - 1)));
  }
  return dose * gain(i - 1);
}

void DoseError::on_row(const LedgerRow& row) {
  if (row.gate_us == 0 || row.removed != 0 || row.shots == 0) return;
  const double wanted = wanted_ug(row) * landed_share_;
  if (wanted <= 0.0) return;
  const double percent = 100.0 * (static_cast<double>(row.landed_ug) / wanted - 1.0);
  OfPlace& place = places_[row.place];
  place.mean += (percent - place.mean) / static_cast<double>(++place.dosed);
  if (std::abs(percent) > std::abs(place.worst)) place.worst = percent;
  ++dosed_;
  worst_ = std::max(worst_, std::abs(percent));
  const auto& allowed = limits_.dose_error_percent_max;
  if (!allowed || std::abs(percent) <= *allowed || breaches_++ > 0) return;
  first_ = {Instant{row.gate_us}, row.container, row.place, static_cast<Cause>(row.cause),
            std::abs(percent)};
}

void DoseError::finish(Verdict& verdict) const {
  for (const auto& [number, place] : places_) {
    PlaceFigures& figures = verdict.places[number];
    figures.dosed = place.dosed;
    figures.dose_error_mean_percent = place.mean;
    figures.dose_error_worst_percent = place.worst;
  }
  if (limits_.dose_error_percent_max) {
    verdict.findings.push_back(worst_finding(*limits_.dose_error_percent_max));
  }
  if (limits_.dose_error_mean_percent_max) {
    verdict.findings.push_back(mean_finding(*limits_.dose_error_mean_percent_max));
  }
}

Finding DoseError::worst_finding(double allowed) const {
  Finding finding{.name = "dose_error_percent_max",
                  .words = "dose off what its wait needs",
                  .measured = worst_,
                  .allowed = allowed,
                  .unit = "%",
                  .decimals = 1,
                  .looked_at = dosed_,
                  .breaches = breaches_};
  if (dosed_ == 0) finding.outcome = Outcome::kInconclusive;
  if (breaches_ == 0) return finding;
  finding.outcome = Outcome::kFail;
  finding.first = first_;
  return finding;
}

/// Its breaches are places.
Finding DoseError::mean_finding(double allowed) const {
  Finding finding{.name = "dose_error_mean_percent_max",
                  .words = "a place's mean dose off what its waits need",
                  .allowed = allowed,
                  .unit = "%",
                  .decimals = 1,
                  .looked_at = static_cast<std::int64_t>(places_.size())};
  if (places_.empty()) finding.outcome = Outcome::kInconclusive;
  for (const auto& [number, place] : places_) {
    finding.measured = std::max(finding.measured, std::abs(place.mean));
    if (std::abs(place.mean) > allowed) ++finding.breaches;
  }
  if (finding.breaches > 0) finding.outcome = Outcome::kFail;
  return finding;
}

}  // namespace rimebench
