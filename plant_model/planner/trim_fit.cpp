#include "plant_model/planner/trim_fit.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "plant_model/physics/gauge.hpp"
#include "plant_model/spec/ledger.hpp"

namespace rimebench {

namespace {

constexpr std::size_t kPacksMin = 4;
constexpr double kTauPrior = 0.5;        // of itself
constexpr double kExponentPrior = 0.25;  // absolute
constexpr double kGaugeSdPa = 1000.0;
constexpr double kNotANumber = std::numeric_limits<double>::quiet_NaN();
/// Waits within this share of each other are one wait.
constexpr double kOneWait = 0.1;
/// Exchange of a pack that is moved, model.md's 2.4, and diffusion of nitrogen in cold water [CAL].
constexpr double kMovedRatePerS = 1.0 / 600.0;
constexpr double kDiffusivityM2PerS = 1.75e-9;
constexpr double kKgPerG = 1e-3, kM3PerMl = 1e-6, kMgPerKg = 1e6, kMPerUm = 1e-6;

double drink_depth_m(const PlantSpec& spec) {
  const double radius = 0.5 * static_cast<double>(spec.container.body_um) * kMPerUm;
  return spec.product.fill_ml * kM3PerMl / (std::numbers::pi * radius * radius);
}

/// All packs with what does not depend on the constants.
class Packs {
 public:
  Packs(const PlantSpec& spec, std::span<const PackReading> readings)
      : spec_(spec), readings_(readings) {
    const TrimLine line(spec, constants_of(spec.line));
    for (const PackReading& reading : readings) {
      at_.push_back(line.at(reading.pack_c));
      waits_s_.push_back(expected_wait_s(spec, reading.place));
      doses_ug_.push_back(dose_ug_of(spec.recipe, reading.open_us));
    }
  }

  std::size_t size() const { return readings_.size(); }
  const std::vector<double>& waits_s() const { return waits_s_; }

  std::optional<physics::Sealed> sealed(const TrimLine& line, std::size_t i) const {
    return line.sealed(doses_ug_[i], waits_s_[i], readings_[i].fill_g * kKgPerG);
  }

  /// Reading expected; not a number if the pack would be liquid-full.
  double expected_Pa(const TrimLine& line, std::size_t i) const {
    const auto pack = sealed(line, i);
    if (!pack) return kNotANumber;
    const Uptake uptake = uptake_of(spec_, readings_[i], *pack, at_[i]);
    return expected_reading_Pa(*pack, uptake.share, readings_[i], at_[i]).value_or(kNotANumber);
  }

  /// How far a reading strays by what the scenario says about the line's scatter, and by what is
  /// not known of the uptake. Only the ratios between packs matter.
  double sd_Pa(std::size_t i) const {
    LineConstants constants = constants_of(spec_.line);
    const double mean = expected_Pa(TrimLine(spec_, constants), i);
    constants.valve_bias *= 1.0 + spec_.line.valve.flow_sd_percent / 100.0;
    const double by_dose = expected_Pa(TrimLine(spec_, constants), i) - mean;
    constants = constants_of(spec_.line);
    constants.tau_s *= 1.0 + spec_.line.boil_off.sd_percent / 100.0;
    const double by_boil_off = expected_Pa(TrimLine(spec_, constants), i) - mean;
    const double by_uptake = uptake_sd_Pa(i);
    return std::sqrt(kGaugeSdPa * kGaugeSdPa + by_dose * by_dose + by_boil_off * by_boil_off +
                     by_uptake * by_uptake);
  }

  TrimPack worked_back(const TrimLine& line, std::size_t i) const {
    TrimPack result;
    const PackReading& reading = readings_[i];
    const double drink_kg = reading.fill_g * kKgPerG;
    const auto fitted = sealed(line, i);
    const auto empty = line.sealed_with(0.0, doses_ug_[i], waits_s_[i], drink_kg);
    const auto before = physics::gauge_before_piercing_Pa(
        drink_kg, at_[i], reading.dead_ml * kM3PerMl, reading.gauge_Pa);
    if (!fitted || !empty || !before) return result;
    result.uptake = uptake_of(spec_, reading, *fitted, at_[i]);
    const auto liquid = physics::liquid_n2_kg_for(*empty, at_[i], *before, result.uptake.share);
    result.expected_Pa = expected_Pa(line, i);
    if (!liquid) return result;
    result.sealed_mg = *liquid * kMgPerKg;
    const auto pack = line.sealed_with(*liquid, doses_ug_[i], waits_s_[i], drink_kg);
    const auto settled =
        pack ? physics::equilibrium_gauge_Pa(*pack, line.at(spec_.limits.judge_c)) : std::nullopt;
    result.equilibrium_Pa = settled.value_or(static_cast<double>(kLiquidFullPa));
    return result;
  }

 private:
  double uptake_sd_Pa(std::size_t i) const {
    const auto pack = sealed(TrimLine(spec_, constants_of(spec_.line)), i);
    if (!pack) return 0.0;
    const Uptake uptake = uptake_of(spec_, readings_[i], *pack, at_[i]);
    const auto less = expected_reading_Pa(*pack, uptake.share - uptake.sd, readings_[i], at_[i]);
    const auto more = expected_reading_Pa(*pack, uptake.share + uptake.sd, readings_[i], at_[i]);
    return less && more ? 0.5 * std::abs(*less - *more) : 0.0;
  }

  const PlantSpec& spec_;
  std::span<const PackReading> readings_;
  std::vector<physics::AtTemperature> at_;
  std::vector<double> waits_s_;
  std::vector<double> doses_ug_;
};

/// The fit of one set of packs, with or without the exponent.
class Trimming {
 public:
  Trimming(const PlantSpec& spec, std::span<const PackReading> readings)
      : spec_(spec), readings_(readings), packs_(spec, readings) {
    for (std::size_t i = 0; i < packs_.size(); ++i) sds_Pa_.push_back(packs_.sd_Pa(i));
  }

  const Packs& packs() const { return packs_; }

  /// The beliefs are as strong as so many packs; how far packs scatter comes out of the fit itself.
  std::optional<Fit> fit(std::optional<double> held) const {
    double scatter = 1.0;
    std::optional<Fit> result;
    for (int round = 0; round < 3; ++round) {
      result = fit_with(held, scatter);
      if (!result) return std::nullopt;
      scatter = std::max(result->residual_sd(), 1e-3);
    }
    return result;
  }

 private:
  std::optional<Fit> fit_with(std::optional<double> held, double scatter) const {
    const LineConstants start = constants_of(spec_.line);
    const double rate = 1.0 / start.tau_s;
    const std::size_t beliefs = held ? 1 : 2;
    const auto residuals = [&](std::span<const double> p, std::span<double> out) {
      const bool sane = p[0] > 0.0 && p[1] > 0.0;
      if (!sane) return std::fill(out.begin(), out.end(), kNotANumber);
      const TrimLine line(spec_, {1.0 / p[0], held ? *held : p[2], p[1]});
      for (std::size_t i = 0; i < packs_.size(); ++i) {
        out[i] = (readings_[i].gauge_Pa - packs_.expected_Pa(line, i)) / sds_Pa_[i];
      }
      out[packs_.size()] = scatter * (rate - p[0]) / (kTauPrior * rate);
      if (!held) out[packs_.size() + 1] = scatter * (start.exponent - p[2]) / kExponentPrior;
    };
    std::vector<Unknown> unknowns{{rate, rate}, {1.0, 1.0}, {start.exponent, 1.0}};
    if (held) unknowns.pop_back();
    return fit_model(residuals, unknowns, packs_.size() + beliefs);
  }

  const PlantSpec& spec_;
  std::span<const PackReading> readings_;
  Packs packs_;
  std::vector<double> sds_Pa_;
};

Estimate inverse(const Estimate& rate) {
  const double least = std::max(rate.low, 1e-3 * rate.value);
  return {1.0 / rate.value, rate.sd / (rate.value * rate.value), 1.0 / rate.high, 1.0 / least};
}

}  // namespace

LineConstants TrimFit::constants(std::span<const double> parameters) const {
  const double power = parameters.size() > 2 ? std::clamp(parameters[2], 0.0, 1.0) : exponent.value;
  return {1.0 / parameters[0], power, parameters[1]};
}

std::vector<double> TrimFit::steps() const {
  std::vector<double> steps{1e-4 * fit.parameters[0], 1e-4, 1e-4};
  steps.resize(fit.parameters.size());
  return steps;
}

Uptake uptake_of(const PlantSpec& spec, const PackReading& reading, const physics::Sealed& sealed,
                 const physics::AtTemperature& at) {
  if (reading.shaken) return {1.0, 0.0};
  const double seconds = 60.0 * reading.minutes;
  const double quiet = std::min(
      physics::diffusion_uptake_share(kDiffusivityM2PerS, drink_depth_m(spec), seconds), 1.0);
  const double ratio = physics::nitrogen_capacity_ratio(sealed, at, reading.gauge_Pa);
  const double moved = std::max(physics::uptake_share(kMovedRatePerS, ratio, seconds), quiet);
  // Anything between the two is as likely: the deviation of an even spread.
  return {0.5 * (quiet + moved), (moved - quiet) / std::sqrt(12.0)};
}

std::optional<double> expected_reading_Pa(const physics::Sealed& sealed, double uptake,
                                          const PackReading& reading,
                                          const physics::AtTemperature& at) {
  const auto gauge = physics::gauge_after_uptake_Pa(sealed, at, uptake);
  if (!gauge) return std::nullopt;
  return physics::gauge_reading_Pa(sealed.drink_kg, at, reading.dead_ml * kM3PerMl, *gauge);
}

std::optional<TrimFit> fit_trim(const PlantSpec& spec, std::span<const PackReading> readings,
                                double confidence, std::string& problem) {
  if (readings.size() < kPacksMin) {
    problem = std::to_string(readings.size()) + " packs: a trim needs " +
              std::to_string(kPacksMin) + " or more";
    return std::nullopt;
  }
  const Trimming trimming(spec, readings);
  auto fit = trimming.fit(std::nullopt);
  TrimFit result;
  const double best = fit ? fit->parameters[2] : spec.line.boil_off.exponent;
  result.exponent_held = best < 0.0 || best > 1.0;
  if (result.exponent_held) {
    result.exponent = {std::clamp(best, 0.0, 1.0), 0.0, 0.0, 1.0};
    fit = trimming.fit(result.exponent.value);
  }
  if (!fit) {
    problem = "no constants explain these readings: are they of this container and product?";
    return std::nullopt;
  }
  if (!result.exponent_held) {
    result.exponent = fit->estimate(2, confidence);
    result.exponent.low = std::max(result.exponent.low, 0.0);
    result.exponent.high = std::min(result.exponent.high, 1.0);
  }
  result.tau_s = inverse(fit->estimate(0, confidence));
  result.valve_bias = fit->estimate(1, confidence);
  const TrimLine line(spec, result.constants());
  const std::vector<double> t = studentised(*fit);
  const double limit = outlier_limit(*fit);
  for (std::size_t i = 0; i < readings.size(); ++i) {
    result.packs.push_back(trimming.packs().worked_back(line, i));
    result.packs.back().studentised = t[i];
    result.packs.back().outlier = std::abs(t[i]) > limit;
  }
  result.waits_s = trimming.packs().waits_s();
  const auto [least, most] = std::minmax_element(result.waits_s.begin(), result.waits_s.end());
  result.one_wait = *most - *least <= kOneWait * *most;
  result.fit = std::move(*fit);
  return result;
}

}  // namespace rimebench
