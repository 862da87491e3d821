#include "plant_model/planner/trim_recipe.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "plant_model/spec/ledger.hpp"

namespace rimebench {

namespace {

constexpr double kPpm = 1e6;
constexpr int kPacksMax = 1000;
constexpr int kKnownMin = 4;
/// A new wait curve reaches this far beyond the longest wait expected.
constexpr double kBeyond = 1.6;

std::string kpa_text(double pascal) {
  char text[32];
  std::snprintf(text, sizeof text, "%.0f kPa", pascal / 1000.0);
  return text;
}

double or_full(const std::optional<double>& gauge_Pa) {
  return gauge_Pa.value_or(static_cast<double>(kLiquidFullPa));
}

std::int32_t rounded(double value) { return static_cast<std::int32_t>(std::lround(value)); }

class Proposing {
 public:
  Proposing(const PlantSpec& spec, const TrimFit& fit, const TrimGoal& goal)
      : spec_(spec),
        fit_(fit),
        goal_(goal),
        line_(spec, fit.constants()),
        at_judge_(line_.at(spec.limits.judge_c)),
        at_hot_(line_.at(spec.limits.hot_c)) {}

  TrimProposal run() {
    result_.recipe = spec_.recipe;
    check_packs();
    if (!set_doses()) return std::move(result_);
    set_open_curve();
    const int places = spec_.recipe.get(Parameter::kPlaceCount);
    for (int place = 1; place <= places; ++place) {
      result_.places.push_back(plan(place));
      check(result_.places.back());
    }
    fill_ramp();
    result_.more_packs = more_packs();
    return std::move(result_);
  }

 private:
  void check_packs() {
    const auto known = std::count_if(fit_.packs.begin(), fit_.packs.end(),
                                     [](const TrimPack& pack) { return pack.uptake_known; });
    if (known >= kKnownMin) return;
    result_.refusals.push_back(std::to_string(known) +
                               " packs were shaken, or read so soon that the drink had taken up "
                               "next to nothing; a recipe needs " +
                               std::to_string(kKnownMin) + ": shake them");
  }

  /// The real dose at the nozzle that brings this wait to the target.
  std::optional<double> needed_ug(const LineConstants& constants, double wait_s) const {
    const TrimLine line(spec_, constants);
    const auto by_recipe = line.dose_ug_for(goal_.target_Pa, wait_s, at_judge_);
    if (!by_recipe) return std::nullopt;
    return *by_recipe * constants.valve_bias;
  }

  std::vector<double> curve_waits_s() const {
    double longest = *std::max_element(fit_.waits_s.begin(), fit_.waits_s.end());
    for (int place = 1; place <= spec_.recipe.get(Parameter::kPlaceCount); ++place) {
      longest = std::max(longest, expected_wait_s(spec_, place));
    }
    std::vector<double> waits;
    for (int i = 0; i < kCurvePoints; ++i) {
      const double wait = static_cast<double>(spec_.recipe.get(Parameter::kWaitCurveUs, i)) / kPpm;
      if (i == 0 || wait > waits.back()) waits.push_back(wait);
    }
    if (waits.size() > 1 && waits.back() >= longest) return waits;
    waits.clear();
    for (int i = 0; i < kCurvePoints; ++i) {
      waits.push_back(kBeyond * longest * i / (kCurvePoints - 1));
    }
    return waits;
  }

  bool set_doses() {
    const std::vector<double> waits = curve_waits_s();
    const auto base = needed_ug(fit_.constants(), waits.front());
    for (std::size_t i = 0; i < waits.size(); ++i) {
      const auto dose = needed_ug(fit_.constants(), waits[i]);
      if (!base || !dose || *base < 1.0) {
        result_.refusals.push_back("no dose brings the pack to " + kpa_text(goal_.target_Pa) +
                                   " after its wait: another target, fill or wait is needed");
        return false;
      }
      const int entry = static_cast<int>(i);
      result_.recipe.set_slot(slot(Parameter::kWaitCurveUs, entry), rounded(waits[i] * kPpm));
      result_.recipe.set_slot(slot(Parameter::kWaitCurvePpm, entry), rounded(*dose / *base * kPpm));
    }
    result_.recipe.set(Parameter::kDoseUg, rounded(*base));
    return true;
  }

  /// The same open times, with the doses that they really give.
  void set_open_curve() {
    for (int i = 0; i < kCurvePoints; ++i) {
      const double promised = spec_.recipe.get(Parameter::kOpenCurveUg, i);
      result_.recipe.set_slot(slot(Parameter::kOpenCurveUg, i),
                              rounded(promised * fit_.valve_bias.value));
    }
  }

  double hot_prompt_Pa(double dose_ug, double wait_s) const {
    const auto pack =
        line_.sealed(dose_ug / fit_.valve_bias.value, wait_s, line_.nominal_drink_kg());
    return or_full(pack ? physics::prompt_gauge_Pa(*pack, at_hot_) : std::nullopt);
  }

  /// Mean pressure of a place whose valve opens this long, with what the fit leaves open.
  Estimate mean_Pa(double open_us, double wait_s) const {
    const double dose = dose_ug_of(spec_.recipe, open_us);
    const auto pressure = [&](std::span<const double> parameters) {
      const TrimLine line(spec_, fit_.constants(parameters));
      const auto pack = line.sealed(dose, wait_s, line.nominal_drink_kg());
      return or_full(pack ? physics::equilibrium_gauge_Pa(*pack, at_judge_) : std::nullopt);
    };
    return derived(fit_.fit, fit_.steps(), pressure, goal_.confidence);
  }

  TrimPlace plan(int place) const {
    TrimPlace p;
    p.place = place;
    p.wait_s = expected_wait_s(spec_, place);
    p.shortest_wait_s = shortest_wait_s(spec_, place);
    p.dose_ug = recipe_dose_ug(result_.recipe, p.wait_s);
    p.open_us = open_us_of(result_.recipe, p.dose_ug);
    p.open_us_in_use = open_us_of(spec_.recipe, recipe_dose_ug(spec_.recipe, p.wait_s));
    p.in_use_Pa = mean_Pa(p.open_us_in_use, p.wait_s);
    const Estimate next = mean_Pa(p.open_us, p.wait_s);
    p.next_half_Pa = 0.5 * (next.high - next.low);
    p.hot_prompt_Pa = hot_prompt_Pa(p.dose_ug, p.wait_s);
    p.shortest_hot_Pa = hot_prompt_Pa(p.dose_ug, p.shortest_wait_s);
    return p;
  }

  void check(const TrimPlace& p) {
    const std::string place = "place " + std::to_string(p.place) + ": ";
    const auto allowed = static_cast<double>(spec_.limits.hot_prompt_pa_max);
    char wait[32];
    std::snprintf(wait, sizeof wait, "%.2f s", p.shortest_wait_s);
    if (p.hot_prompt_Pa > allowed) {
      result_.refusals.push_back(place + "hot and prompt it comes to " + kpa_text(p.hot_prompt_Pa) +
                                 ", allowed " + kpa_text(allowed));
    } else if (p.shortest_hot_Pa > allowed) {
      result_.refusals.push_back(place + "sealed after its shortest wait, " + wait +
                                 ", it comes hot and prompt to " + kpa_text(p.shortest_hot_Pa) +
                                 ", allowed " + kpa_text(allowed) +
                                 ": count the containers ahead, or ramp less");
    }
    const double least = result_.recipe.get(Parameter::kOpenUsMin);
    const double most = result_.recipe.get(Parameter::kOpenUsMax);
    const bool on_curve = std::abs(dose_ug_of(result_.recipe, p.open_us) - p.dose_ug) <= 1.0;
    if (!on_curve || p.open_us < least || p.open_us > most) {
      result_.refusals.push_back(place +
                                 "its dose lies outside the open curve or the open times "
                                 "allowed: weigh shots there first");
    }
  }

  void fill_ramp() {
    const double first = result_.places.front().wait_s, last = result_.places.back().wait_s;
    const auto ramp = [&](std::span<const double> parameters) {
      const LineConstants constants = fit_.constants(parameters);
      const double at_first = needed_ug(constants, first).value_or(0.0);
      const double at_last = needed_ug(constants, last).value_or(0.0);
      return at_first > 0.0 ? 100.0 * (at_last / at_first - 1.0) : 0.0;
    };
    result_.ramp_percent = derived(fit_.fit, fit_.steps(), ramp, goal_.confidence);
    result_.ramp_in_use_percent =
        100.0 * (recipe_dose_ug(spec_.recipe, last) / recipe_dose_ug(spec_.recipe, first) - 1.0);
  }

  /// The interval narrows as one over the root of the packs, and Student's t with them.
  int more_packs() const {
    double worst = 0.0;
    for (const TrimPlace& place : result_.places) worst = std::max(worst, place.next_half_Pa);
    const int now = static_cast<int>(fit_.packs.size());
    const int freedom = fit_.fit.degrees_of_freedom;
    const double sd = worst / student_t(goal_.confidence, freedom) * std::sqrt(1.0 * now);
    for (int more = 0; more <= kPacksMax; ++more) {
      const double half =
          student_t(goal_.confidence, freedom + more) * sd / std::sqrt(1.0 * (now + more));
      if (half <= goal_.within_Pa) return more;
    }
    return -1;
  }

  const PlantSpec& spec_;
  const TrimFit& fit_;
  const TrimGoal& goal_;
  TrimLine line_;
  physics::AtTemperature at_judge_;
  physics::AtTemperature at_hot_;
  TrimProposal result_;
};

}  // namespace

TrimProposal propose_trim(const PlantSpec& spec, const TrimFit& fit, const TrimGoal& goal) {
  return Proposing(spec, fit, goal).run();
}

}  // namespace rimebench
