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
/// Between rest (0) and movement (1) anything may be: both ends lie within one deviation.
constexpr double kMovement = 0.5, kMovementPrior = 0.5;
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
  double expected_Pa(const TrimLine& line, double movement, std::size_t i) const {
    const auto pack = sealed(line, i);
    if (!pack) return kNotANumber;
    const double uptake = uptake_of(spec_, readings_[i], *pack, at_[i]).share(movement);
    return expected_reading_Pa(*pack, uptake, readings_[i], at_[i]).value_or(kNotANumber);
  }

  /// How far a reading strays by what the scenario says about the line's scatter. Only the ratios
  /// between packs matter.
  double sd_Pa(std::size_t i) const {
    const auto expected = [&](double dose, double tau) {
      LineConstants constants = constants_of(spec_.line);
      constants.valve_bias *= 1.0 + dose / 100.0;
      constants.tau_s *= 1.0 + tau / 100.0;
      return expected_Pa(TrimLine(spec_, constants), kMovement, i);
    };
    const double mean = expected(0.0, 0.0);
    const double by_dose = expected(spec_.line.valve.flow_sd_percent, 0.0) - mean;
    const double by_boil_off = expected(0.0, spec_.line.boil_off.sd_percent) - mean;
    return std::sqrt(kGaugeSdPa * kGaugeSdPa + by_dose * by_dose + by_boil_off * by_boil_off);
  }

  TrimPack worked_back(const TrimLine& line, double movement, std::size_t i) const {
    TrimPack result;
    const PackReading& reading = readings_[i];
    const double drink_kg = reading.fill_g * kKgPerG;
    const auto fitted = sealed(line, i);
    const auto empty = line.sealed_with(0.0, doses_ug_[i], waits_s_[i], drink_kg);
    const auto before = physics::gauge_before_piercing_Pa(
        drink_kg, at_[i], reading.dead_ml * kM3PerMl, reading.gauge_Pa);
    if (!fitted || !empty || !before) return result;
    const Uptake uptake = uptake_of(spec_, reading, *fitted, at_[i]);
    result.uptake = uptake.share(movement);
    result.uptake_known = uptake.known();
    const auto liquid = physics::liquid_n2_kg_for(*empty, at_[i], *before, result.uptake);
    result.expected_Pa = expected_Pa(line, movement, i);
    if (!liquid) return result;
    result.sealed_mg = *liquid * kMgPerKg;
    const auto pack = line.sealed_with(*liquid, doses_ug_[i], waits_s_[i], drink_kg);
    const auto settled =
        pack ? physics::equilibrium_gauge_Pa(*pack, line.at(spec_.limits.judge_c)) : std::nullopt;
    result.equilibrium_Pa = settled.value_or(static_cast<double>(kLiquidFullPa));
    return result;
  }

 private:
  const PlantSpec& spec_;
  std::span<const PackReading> readings_;
  std::vector<physics::AtTemperature> at_;
  std::vector<double> waits_s_;
  std::vector<double> doses_ug_;
};

/// Where each unknown stands among the fitted parameters.
struct Layout {
  bool exponent;  ///< fitted, not held
  bool movement;  ///< some pack was not shaken

  std::size_t movement_at() const { return exponent ? 3 : 2; }
};

/// The fit of one set of packs, with or without the exponent.
class Trimming {
 public:
  Trimming(const PlantSpec& spec, std::span<const PackReading> readings)
      : spec_(spec), readings_(readings), packs_(spec, readings) {
    for (std::size_t i = 0; i < packs_.size(); ++i) sds_Pa_.push_back(packs_.sd_Pa(i));
    unshaken_ = std::any_of(readings.begin(), readings.end(),
                            [](const PackReading& reading) { return !reading.shaken; });
  }

  const Packs& packs() const { return packs_; }
  Layout layout(bool held) const { return {!held, unshaken_}; }

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
  std::vector<Unknown> unknowns(const Layout& layout) const {
    const double rate = 1.0 / spec_.line.boil_off.tau_belt_s;
    std::vector<Unknown> list{{rate, rate}, {1.0, 1.0}};
    if (layout.exponent) list.push_back({spec_.line.boil_off.exponent, 1.0});
    if (layout.movement) list.push_back({kMovement, 1.0});
    return list;
  }

  std::optional<Fit> fit_with(std::optional<double> held, double scatter) const {
    const Layout layout{!held, unshaken_};
    const std::vector<Unknown> start = unknowns(layout);
    const auto residuals = [&](std::span<const double> p, std::span<double> out) {
      if (!(p[0] > 0.0 && p[1] > 0.0)) return std::fill(out.begin(), out.end(), kNotANumber);
      const TrimLine line(spec_, {1.0 / p[0], held ? *held : p[2], p[1]});
      const double movement = layout.movement ? p[layout.movement_at()] : kMovement;
      for (std::size_t i = 0; i < packs_.size(); ++i) {
        out[i] = (readings_[i].gauge_Pa - packs_.expected_Pa(line, movement, i)) / sds_Pa_[i];
      }
      // What is believed of every unknown but the valve's bias.
      std::size_t row = packs_.size();
      const auto believe = [&](std::size_t at, double deviation) {
        out[row++] = scatter * (start[at].start - p[at]) / deviation;
      };
      believe(0, kTauPrior * start[0].start);
      if (layout.exponent) believe(2, kExponentPrior);
      if (layout.movement) believe(layout.movement_at(), kMovementPrior);
    };
    return fit_model(residuals, start, packs_.size() + start.size() - 1);
  }

  const PlantSpec& spec_;
  std::span<const PackReading> readings_;
  Packs packs_;
  std::vector<double> sds_Pa_;
  bool unshaken_{};
};

Estimate inverse(const Estimate& rate) {
  const double least = std::max(rate.low, 1e-3 * rate.value);
  return {1.0 / rate.value, rate.sd / (rate.value * rate.value), 1.0 / rate.high, 1.0 / least};
}

}  // namespace

LineConstants TrimFit::constants(std::span<const double> parameters) const {
  const double power = exponent_held ? exponent.value : std::clamp(parameters[2], 0.0, 1.0);
  return {1.0 / parameters[0], power, parameters[1]};
}

std::vector<double> TrimFit::steps() const {
  std::vector<double> steps(fit.parameters.size(), 1e-4);
  steps[0] *= fit.parameters[0];
  return steps;
}

double Uptake::share(double movement) const {
  return std::clamp(least + movement * (most - least), 0.0, 1.0);
}

Uptake uptake_of(const PlantSpec& spec, const PackReading& reading, const physics::Sealed& sealed,
                 const physics::AtTemperature& at) {
  if (reading.shaken) return {1.0, 1.0};
  const double seconds = 60.0 * reading.minutes;
  const double quiet = std::min(
      physics::diffusion_uptake_share(kDiffusivityM2PerS, drink_depth_m(spec), seconds), 1.0);
  const double ratio = physics::nitrogen_capacity_ratio(sealed, at, reading.gauge_Pa);
  const double moved = std::max(physics::uptake_share(kMovedRatePerS, ratio, seconds), quiet);
  return {quiet, moved};
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
  const Layout layout = trimming.layout(result.exponent_held);
  const double movement = layout.movement ? fit->parameters[layout.movement_at()] : kMovement;
  const TrimLine line(spec, result.constants());
  const std::vector<double> t = studentised(*fit);
  const double limit = outlier_limit(*fit);
  for (std::size_t i = 0; i < readings.size(); ++i) {
    result.packs.push_back(trimming.packs().worked_back(line, movement, i));
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
