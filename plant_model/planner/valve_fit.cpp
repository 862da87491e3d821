#include "plant_model/planner/valve_fit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <utility>

namespace rimebench {

namespace {

constexpr double kUgPerG = 1e6;
constexpr std::size_t kWeighingsMin = 4;
constexpr double kOrificeExponent = 0.5;

double shot_ug(const Weighing& weighing) { return weighing.mass_g * kUgPerG / weighing.shots; }

/// Interval of the place where a line crosses zero, after Fieller. Nothing if the slope might be
/// zero: the line may then cross anywhere.
std::optional<Estimate> zero_crossing(const Fit& line, double confidence) {
  const double intercept = line.parameters[0], slope = line.parameters[1];
  const double t = student_t(confidence, line.degrees_of_freedom);
  const double v00 = t * t * line.covariance_of(0, 0), v01 = t * t * line.covariance_of(0, 1),
               v11 = t * t * line.covariance_of(1, 1);
  const double a = slope * slope - v11, b = intercept * slope - v01,
               c = intercept * intercept - v00;
  if (!(slope > 0.0) || !(a > 0.0)) return std::nullopt;
  const double crossing = -intercept / slope;
  const double root = std::sqrt(std::max(b * b - a * c, 0.0));
  const double variance = (line.covariance_of(0, 0) + 2.0 * crossing * line.covariance_of(0, 1) +
                           crossing * crossing * line.covariance_of(1, 1)) /
                          (slope * slope);
  return Estimate{crossing, std::sqrt(std::max(variance, 0.0)), (-b - root) / a, (-b + root) / a};
}

struct Columns {
  std::vector<double> open_us, shot_ug, shots;
};

Columns columns_of(std::span<const Weighing> weighings) {
  Columns columns;
  for (const Weighing& weighing : weighings) {
    columns.open_us.push_back(weighing.open_us);
    columns.shot_ug.push_back(shot_ug(weighing));
    columns.shots.push_back(weighing.shots);
  }
  return columns;
}

constexpr const char* kNotRising =
    "the mass of a shot does not surely rise with its open time: more weighings, further apart";

std::optional<Fit> fit_one_head(const Columns& columns, double confidence, ValveFit& result,
                                std::string& problem) {
  std::optional<Fit> line = fit_line(columns.open_us, columns.shot_ug, columns.shots);
  const auto dead = line ? zero_crossing(*line, confidence) : std::nullopt;
  if (!dead) {
    problem = kNotRising;
    return std::nullopt;
  }
  result.flow_ug_per_us = line->estimate(1, confidence);
  result.dead_us = *dead;
  return line;
}

/// Flow at the mean head, dead time and exponent at once, from where a line through all begins.
std::optional<Fit> fit_heads(std::span<const Weighing> weighings, const Columns& columns,
                             double confidence, ValveFit& result, std::string& problem) {
  const auto line = fit_line(columns.open_us, columns.shot_ug, columns.shots);
  if (!line || !(line->parameters[1] > 0.0)) {
    problem = kNotRising;
    return std::nullopt;
  }
  const auto residuals = [&](std::span<const double> p, std::span<double> out) {
    for (std::size_t i = 0; i < weighings.size(); ++i) {
      const double flow = p[0] * std::pow(weighings[i].head_mm / result.head_mm, p[2]);
      out[i] =
          std::sqrt(columns.shots[i]) * (columns.shot_ug[i] - flow * (columns.open_us[i] - p[1]));
    }
  };
  const double flow = line->parameters[1];
  const double dead = -line->parameters[0] / flow;
  const std::array<Unknown, 3> unknowns{{{flow, flow}, {dead, 1e3}, {kOrificeExponent, 1.0}}};
  auto fit = fit_model(residuals, unknowns, weighings.size());
  if (!fit || !(fit->estimate(0, confidence).low > 0.0)) {
    problem = kNotRising;
    return std::nullopt;
  }
  result.flow_ug_per_us = fit->estimate(0, confidence);
  result.dead_us = fit->estimate(1, confidence);
  result.head_exponent = fit->estimate(2, confidence);
  return fit;
}

std::optional<LackOfFit> lack_of_fit(std::span<const Weighing> weighings, const Fit& fit) {
  struct Sums {
    double weight{}, mass{}, square{};
  };
  std::map<std::pair<double, double>, Sums> groups;
  for (const Weighing& weighing : weighings) {
    // Against the mean of its group below, so that no digits are lost.
    Sums& sums = groups[{weighing.open_us, weighing.head_mm}];
    sums.weight += weighing.shots;
    sums.mass += weighing.shots * shot_ug(weighing);
  }
  double pure = 0.0;
  for (const Weighing& weighing : weighings) {
    const Sums& sums = groups[{weighing.open_us, weighing.head_mm}];
    const double off = shot_ug(weighing) - sums.mass / sums.weight;
    pure += weighing.shots * off * off;
  }
  const int repeats = static_cast<int>(weighings.size() - groups.size());
  const int bends = fit.degrees_of_freedom - repeats;
  if (repeats < 1 || bends < 1 || !(pure > 0.0)) return std::nullopt;
  const double f = std::max(fit.residual_ss - pure, 0.0) / bends / (pure / repeats);
  return LackOfFit{f, f_tail(f, bends, repeats), repeats};
}

void fill_rows(const Columns& columns, const Fit& fit, ValveFit& result) {
  const std::vector<double> t = studentised(fit);
  const double limit = outlier_limit(fit);
  for (std::size_t i = 0; i < t.size(); ++i) {
    const double measured = columns.shot_ug[i];
    const double fitted = measured - fit.residuals[i] / std::sqrt(columns.shots[i]);
    result.rows.push_back({measured, fitted, t[i], std::abs(t[i]) > limit});
  }
}

}  // namespace

std::optional<ValveFit> fit_valve(std::span<const Weighing> weighings, double confidence,
                                  std::string& problem) {
  std::set<double> times, heads;
  double head_sum = 0.0;
  for (const Weighing& weighing : weighings) {
    times.insert(weighing.open_us);
    heads.insert(weighing.head_mm);
    head_sum += weighing.head_mm;
  }
  if (weighings.size() < kWeighingsMin || times.size() < 2) {
    problem = std::to_string(weighings.size()) + " weighings at " + std::to_string(times.size()) +
              " open times: a line needs " + std::to_string(kWeighingsMin) +
              " weighings or more, at two open times or more";
    return std::nullopt;
  }
  ValveFit result;
  result.open_us_min = *times.begin();
  result.open_us_max = *times.rbegin();
  result.head_mm = head_sum / static_cast<double>(weighings.size());
  const Columns columns = columns_of(weighings);
  const auto fit = heads.size() > 1 ? fit_heads(weighings, columns, confidence, result, problem)
                                    : fit_one_head(columns, confidence, result, problem);
  if (!fit) return std::nullopt;
  result.degrees_of_freedom = fit->degrees_of_freedom;
  result.shot_sd_ug = fit->residual_sd();
  fill_rows(columns, *fit, result);
  result.lack_of_fit = lack_of_fit(weighings, *fit);
  return result;
}

}  // namespace rimebench
