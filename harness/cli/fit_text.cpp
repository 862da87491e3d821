#include "harness/cli/fit_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "harness/config/resolved_text.hpp"
#include "plant_model/physics/boil_off.hpp"

namespace rimebench {

namespace {

/// Below this chance under a straight line, it is not taken for one.
constexpr double kBentChance = 0.01;
constexpr int kOpenCurvePoints = 5;
constexpr double kPpm = 1e6;

std::string interval(const Estimate& e, int decimals) {
  return fmt::format("{:>9.{}f}   {:>8.{}f}   {:.{}f} .. {:.{}f}", e.value, decimals, e.sd,
                     decimals, e.low, decimals, e.high, decimals);
}

std::string estimates_head(const FitContext& context) {
  return fmt::format("                             fitted  std error   {:g} % sure between\n",
                     context.confidence_percent);
}

bool holds(const Estimate& e, double value) { return e.low <= value && value <= e.high; }

std::string row_text(int line, const std::string& what, const WeighingResidual& row) {
  return fmt::format("  {:>5}  {}  {:>10.2f}  {:>10.2f}  {:>+8.2f}  {:>+7.2f}{}\n", line, what,
                     row.measured_ug / 1e3, row.fitted_ug / 1e3,
                     (row.measured_ug - row.fitted_ug) / 1e3, row.studentised,
                     row.outlier ? "   outlier" : "");
}

std::string head_text(const ValveFit& fit) {
  if (!fit.head_exponent) return {};
  std::string text = "  head exponent          " + interval(*fit.head_exponent, 3) + "\n";
  if (holds(*fit.head_exponent, 0.5)) {
    return text + "    agrees with 0.5, a plain orifice under its own head\n";
  }
  return text +
         "    not 0.5, a plain orifice under its own head: is the head under pressure, or does\n"
         "    the liquid boil at the seat?\n";
}

std::string outliers_text(const ValveFit& fit, const FitContext& context) {
  std::string lines;
  for (std::size_t i = 0; i < fit.rows.size(); ++i) {
    if (!fit.rows[i].outlier) continue;
    lines += (lines.empty() ? "" : ", ") + std::to_string(context.lines[i]);
  }
  if (lines.empty()) return "outliers     none\n";
  return fmt::format(
      "outliers     line {} of {}: kept in the fit; weigh again, or take it out with a reason\n",
      lines, context.file);
}

std::string lack_text(const ValveFit& fit) {
  if (!fit.lack_of_fit) return "lack of fit  not to be told: no open time was weighed twice\n";
  const LackOfFit& lack = *fit.lack_of_fit;
  if (is_bent(fit)) {
    return fmt::format(
        "lack of fit  F = {:.1f}, chance {:.2g}: NOT a straight line. Leave out the shortest open "
        "times,\n             or look for a valve that sticks; no recipe is written\n",
        lack.f, lack.chance);
  }
  return fmt::format("lack of fit  none seen: F = {:.2f}, chance {:.2f}, {} repeats\n", lack.f,
                     lack.chance, lack.repeats);
}

std::string exponent_text(const DecayFit& fit) {
  if (fit.exponent_held) {
    return fmt::format(
        "  exponent               {:>9.3f}   held there: the best lay outside 0..1\n",
        fit.exponent.value);
  }
  std::string text = "  exponent               " + interval(fit.exponent, 3) + "\n";
  const char* const says = holds(fit.exponent, 1.0)
                               ? (holds(fit.exponent, 2.0 / 3.0)
                                      ? "fits a puddle (1) and drops (2/3) alike: a longer series"
                                      : "a puddle (1), not drops (2/3)")
                           : holds(fit.exponent, 2.0 / 3.0) ? "drops (2/3), not a puddle (1)"
                           : holds(fit.exponent, 0.0)       ? "an area that stays the same (0)"
                                                            : "between the simple cases";
  return text + "    " + says + "\n";
}

std::string decay_rows(const DecayFit& fit, std::span<const BalanceReading> readings,
                       const FitContext& context) {
  std::string text;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (std::abs(fit.studentised[i]) <= fit.outlier_limit) continue;
    text += fmt::format("  line {}: {:.2f} mg at {:g} s, fitted {:.2f} mg\n", context.lines[i],
                        readings[i].mass_g * 1e3, readings[i].time_s, fit.fitted_mg[i]);
  }
  return text.empty() ? "outliers  none\n" : "outliers  kept in the fit\n" + text;
}

std::string heading(const char* what, const FitContext& context, int freedom) {
  return fmt::format("{}: {}, {} rows, {} degrees of freedom\n\n", what, context.file,
                     context.lines.size(), freedom);
}

}  // namespace

bool is_bent(const ValveFit& fit) {
  return fit.lack_of_fit && fit.lack_of_fit->chance < kBentChance;
}

std::string to_terminal(const ValveFit& fit, std::span<const Weighing> weighings,
                        const FitContext& context) {
  std::string text = heading("valve calibration", context, fit.degrees_of_freedom);
  text += estimates_head(context);
  text += "  flow, g/s              " + interval(fit.flow_ug_per_us, 4) + "\n";
  text += "  dead time, ms          " +
          interval({fit.dead_us.value / 1e3, fit.dead_us.sd / 1e3, fit.dead_us.low / 1e3,
                    fit.dead_us.high / 1e3},
                   3) +
          "\n";
  text += head_text(fit);
  if (fit.head_mm > 0.0) text += fmt::format("  flow is for a head of {:.0f} mm\n", fit.head_mm);
  text += fmt::format("  one shot scatters by {:.2f} mg around the line\n\n", fit.shot_sd_ug / 1e3);
  text += "   line  open ms  measured mg   fitted mg       off  studentised\n";
  for (std::size_t i = 0; i < weighings.size(); ++i) {
    text += row_text(context.lines[i], fmt::format("{:>7.2f}", weighings[i].open_us / 1e3),
                     fit.rows[i]);
  }
  text += "\n" + outliers_text(fit, context) + lack_text(fit);
  return text +
         "dead time is the opening delay less the closing delay: weighing cannot tell the "
         "two apart.\n";
}

std::string to_terminal(const DecayFit& fit, std::span<const BalanceReading> readings,
                        const FitContext& context) {
  std::string text = heading("boil-off", context, fit.degrees_of_freedom) + estimates_head(context);
  text += "  mass at the start, mg  " + interval(fit.start_mg, 2) + "\n";
  text +=
      fmt::format("  tau at {:>4.0f} mg, s      {}\n", fit.reference_mg, interval(fit.tau_s, 3));
  text += exponent_text(fit);
  text += fmt::format("  a reading scatters by {:.2f} mg around the curve\n\n", fit.residual_sd_mg);
  return text + decay_rows(fit, readings, context) +
         fmt::format(
             "\nfor the line:  boil_off: {{tau_belt_s: {:.3f}, exponent: {:.3f}, "
             "reference_mg: {:.0f}}}\n",
             fit.tau_s.value, fit.exponent.value, fit.reference_mg);
}

std::string recipe_fragment(const ValveFit& fit, const FitContext& context) {
  std::vector<std::string> doses, times;
  for (int i = 0; i < kOpenCurvePoints; ++i) {
    const double span = fit.open_us_max - fit.open_us_min;
    const double open_us = std::round(fit.open_us_min + span * i / (kOpenCurvePoints - 1));
    times.push_back(fmt::format("{:.0f}", open_us));
    doses.push_back(fmt::format("{:.0f}", fit.dose_ug(open_us)));
  }
  std::string text = fmt::format(
      "# Fitted from {}: flow {:.4f} g/s ({:.4f} .. {:.4f}), dead time {:.3f} ms ({:.3f} .. "
      "{:.3f}),\n"
      "# {:g} % sure. The dead time is valve_open_delay_us less valve_close_delay_us.\n",
      context.file, fit.flow_ug_per_us.value, fit.flow_ug_per_us.low, fit.flow_ug_per_us.high,
      fit.dead_us.value / 1e3, fit.dead_us.low / 1e3, fit.dead_us.high / 1e3,
      context.confidence_percent);
  if (fit.head_mm > 0.0) text += fmt::format("# At a head of {:.0f} mm.\n", fit.head_mm);
  return text + "open_us_min: " + times.front() + "\nopen_curve_ug: " + flow_list(doses) +
         "\nopen_curve_us: " + flow_list(times) + "\n";
}

std::string recipe_fragment(const DecayFit& fit, const FitContext& context) {
  constexpr double kWaitsS[] = {0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0};
  const double left_kg = fit.reference_mg * 1e-6;
  std::vector<std::string> waits, gains;
  for (const double wait : kWaitsS) {
    const double gain = physics::starting_kg(left_kg, fit.law(), wait) / left_kg;
    waits.push_back(fmt::format("{:.0f}", wait * 1e6));
    gains.push_back(fmt::format("{:.0f}", gain * kPpm));
  }
  return fmt::format(
             "# Fitted from {}: tau {:.3f} s ({:.3f} .. {:.3f}) at {:.0f} mg, exponent {:.3f}, "
             "{:g} % "
             "sure.\n# For a container that seals {:.0f} mg.\n",
             context.file, fit.tau_s.value, fit.tau_s.low, fit.tau_s.high, fit.reference_mg,
             fit.exponent.value, context.confidence_percent, fit.reference_mg) +
         "wait_curve_us: " + flow_list(waits) + "\nwait_curve_ppm: " + flow_list(gains) + "\n";
}

}  // namespace rimebench
