#include "plant_model/planner/decay_fit.hpp"

#include <algorithm>
#include <cmath>

namespace rimebench {

namespace {

constexpr double kMgPerG = 1e3;
constexpr double kKgPerMg = 1e-6;
constexpr std::size_t kReadingsMin = 5;
/// Neither a puddle nor drops: between the two, and clear of 1, where the law changes its form.
constexpr double kExponentStart = 0.8;

/// Mass in mg after `seconds` when `rate` is 1/tau at the reference.
double decayed_mg(double start_mg, double rate, double exponent, double reference_mg,
                  double seconds) {
  const physics::DecayLaw law{1.0 / rate, exponent, reference_mg * kKgPerMg};
  return physics::remaining_kg(start_mg * kKgPerMg, law, seconds) / kKgPerMg;
}

class Series {
 public:
  explicit Series(std::span<const BalanceReading> readings) : readings_(readings) {
    double sum = 0.0;
    for (const BalanceReading& reading : readings) sum += reading.mass_g * kMgPerG;
    reference_mg_ = std::max(std::round(sum / static_cast<double>(readings.size())), 1.0);
  }

  double reference_mg() const { return reference_mg_; }
  double seconds() const { return readings_.back().time_s - readings_.front().time_s; }
  double start_mg() const { return readings_.front().mass_g * kMgPerG; }
  double end_mg() const { return readings_.back().mass_g * kMgPerG; }

  /// Start, rate and exponent; or start and rate with the exponent held.
  std::optional<Fit> fit(std::optional<double> held) const {
    const auto residuals = [&](std::span<const double> p, std::span<double> out) {
      const double exponent = held ? *held : p[2];
      for (std::size_t i = 0; i < readings_.size(); ++i) {
        const double at = readings_[i].time_s - readings_.front().time_s;
        out[i] =
            readings_[i].mass_g * kMgPerG - decayed_mg(p[0], p[1], exponent, reference_mg_, at);
      }
    };
    const double rate = (start_mg() - end_mg()) / (reference_mg_ * seconds());
    std::vector<Unknown> unknowns{{start_mg(), 1.0}, {rate, rate}, {kExponentStart, 1.0}};
    if (held) unknowns.pop_back();
    return fit_model(residuals, unknowns, readings_.size());
  }

 private:
  std::span<const BalanceReading> readings_;
  double reference_mg_{};
};

std::string form_problem(std::span<const BalanceReading> readings) {
  if (readings.size() < kReadingsMin) {
    return std::to_string(readings.size()) + " readings: a decay needs " +
           std::to_string(kReadingsMin) + " or more";
  }
  const Series series(readings);
  if (!(series.end_mg() < series.start_mg())) {
    return "the last mass is not below the first: nothing boiled off";
  }
  return {};
}

Estimate inverse(const Estimate& rate) {
  return {1.0 / rate.value, rate.sd / (rate.value * rate.value), 1.0 / rate.high, 1.0 / rate.low};
}

}  // namespace

physics::DecayLaw DecayFit::law() const {
  return {tau_s.value, exponent.value, reference_mg * kKgPerMg};
}

std::optional<DecayFit> fit_decay(std::span<const BalanceReading> readings, double confidence,
                                  std::string& problem) {
  problem = form_problem(readings);
  if (!problem.empty()) return std::nullopt;
  const Series series(readings);
  DecayFit result;
  result.reference_mg = series.reference_mg();
  auto fit = series.fit(std::nullopt);
  if (fit) result.exponent = fit->estimate(2, confidence);
  const double exponent = std::clamp(result.exponent.value, 0.0, 1.0);
  result.exponent_held = !fit || exponent != result.exponent.value;
  if (result.exponent_held) {
    result.exponent.value = fit ? exponent : 1.0;
    fit = series.fit(result.exponent.value);
  }
  if (!fit || !(fit->estimate(1, confidence).low > 0.0)) {
    problem = "too short or too scattered to see the decay";
    return std::nullopt;
  }
  result.start_mg = fit->estimate(0, confidence);
  result.tau_s = inverse(fit->estimate(1, confidence));
  result.residual_sd_mg = fit->residual_sd();
  result.degrees_of_freedom = fit->degrees_of_freedom;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    result.fitted_mg.push_back(readings[i].mass_g * kMgPerG - fit->residuals[i]);
  }
  result.studentised = studentised(*fit);
  result.outlier_limit = outlier_limit(*fit);
  return result;
}

}  // namespace rimebench
