#include "harness/audit/audit.hpp"

#include <algorithm>
#include <cmath>

#include "firmware_sim/contract/parameter_table.hpp"
#include "harness/audit/auditor.hpp"
#include "harness/audit/plausible.hpp"

namespace rimebench {

namespace {

constexpr std::int64_t kPairsMin = 5;
/// Shots are as long as asked within this: the belt's speed is taken at another moment than the
/// controller takes it.
constexpr double kLengthOffMaxUs = 200.0;

/// `um_per_unit`: how far the landing moves by one unit of the parameter.
void correct(AuditReport& report, Parameter parameter, const Estimate& measured,
             double um_per_unit) {
  const ParameterRow& row = row_of(parameter);
  const std::int32_t old_value = report.corrected.get(parameter);
  if (measured.low <= old_value && old_value <= measured.high) return;
  const double moves = (measured.value - old_value) * um_per_unit;
  if (std::abs(moves) < kMaterialUm) return;
  const double fitting =
      std::clamp(measured.value, static_cast<double>(row.min), static_cast<double>(row.max));
  const auto new_value = static_cast<std::int32_t>(std::lround(fitting));
  report.corrections.push_back({parameter, row.key, old_value, new_value, measured, moves});
  report.corrected.set(parameter, new_value);
}

void correct_recipe(AuditReport& report, const RecipeValues& recipe) {
  report.corrected = recipe;
  const double speed = report.pulses.fastest_um_per_us;
  if (report.valve && report.valve->open_us.count >= kPairsMin) {
    correct(report, Parameter::kValveOpenDelayUs, report.valve->open_us.mean, 0.5 * speed);
  }
  if (report.valve && report.valve->close_us.count >= kPairsMin) {
    correct(report, Parameter::kValveCloseDelayUs, report.valve->close_us.mean, 0.5 * speed);
  }
  if (!report.sensor) return;
  correct(report, Parameter::kSensorLatencyUs, report.sensor->latency_us, speed);
  const double way = recipe.get(Parameter::kSensorToNozzleUm) +
                     static_cast<double>(recipe.get(Parameter::kEdgeToCentreUm));
  correct(report, Parameter::kLinePulsePitchUm, report.sensor->pulse_pitch_um,
          way / recipe.get(Parameter::kLinePulsePitchUm));
}

bool lengths_off(const AuditReport& report) {
  return std::any_of(report.places.begin(), report.places.end(), [](const auto& place) {
    return std::abs(place.second.off_us.median) > kLengthOffMaxUs;
  });
}

void judge(AuditReport& report) {
  const auto because = [&](bool holds, AuditReason reason) {
    if (holds) report.reasons.push_back(reason);
  };
  const bool belt = !report.pulsed || report.pulses.pulses >= kPairsMin;
  because(!report.missing.empty(), AuditReason::kMissing);
  because(!report.doubles.empty(), AuditReason::kDouble);
  because(!report.orphans.empty(), AuditReason::kOrphan);
  because(lengths_off(report), AuditReason::kLengths);
  because(std::abs(report.late_um.median) > kMaterialUm, AuditReason::kLate);
  because(report.law &&
              (report.law->kind == DelayKind::kTime || report.law->kind == DelayKind::kNeither),
          AuditReason::kDelayIsTime);
  because(report.pulses.lost + report.pulses.extra > 0, AuditReason::kPulses);
  const bool differs = report.comparison && !report.comparison->agrees();
  because(differs && !report.core.start.no_samples, AuditReason::kCoreDiffers);
  because(!report.corrections.empty(), AuditReason::kRecipeOff);
  because(!belt, AuditReason::kNoBelt);
  because(belt && report.delay_us.count < kPairsMin, AuditReason::kTooFew);
  because(!report.complete, AuditReason::kCut);
  because(belt && !report.core.ran_at_us, AuditReason::kCoreNeverRan);
  because(differs && report.core.start.no_samples, AuditReason::kCoreUnfed);
}

}  // namespace

AuditReport audit(const CapturedLine& line, const AuditSetup& setup, Node& node) {
  demand_plausible(line, setup.recipe);
  AuditReport report;
  Auditor auditor(line, setup, report);
  auditor.look();
  auditor.run(node);
  auditor.pair();
  auditor.average();
  auditor.by_place();
  auditor.fit_latencies();
  auditor.compare();
  correct_recipe(report, setup.recipe);
  judge(report);
  return report;
}

}  // namespace rimebench
