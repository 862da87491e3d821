#include "plant_model/planner/sensitivity.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace rimebench {

namespace {

/// A figure, its step, and what the step does to a copy of the plan.
struct Step {
  const char* key;
  const char* text;
  void (*apply)(PlanSpec&);
};

constexpr double kTenPercent = 1.1;

constexpr auto kSteps = std::to_array<Step>({
    {"container.compliance_ml_per_mpa", "+1 ml/MPa",
     [](PlanSpec& s) { s.container.compliance_ml_per_mpa += 1.0; }},
    {"container.expansion_ppm_per_k", "+10 ppm/K",
     [](PlanSpec& s) { s.container.expansion_ppm_per_k += 10.0; }},
    {"container.brimful_ml", "+1 ml", [](PlanSpec& s) { s.container.brimful_ml += 1.0; }},
    {"product.dissolved_nitrogen_mg_per_kg", "+1 mg/kg",
     [](PlanSpec& s) { s.product.dissolved_nitrogen_mg_per_kg += 1.0; }},
    {"product.solubility_percent", "-10 %",
     [](PlanSpec& s) { s.product.solubility_percent -= 10.0; }},
    {"product.fill_temperature_c", "+1 C",
     [](PlanSpec& s) { s.product.fill_temperature_c += 1.0; }},
    {"line.boil_off.tau_belt_s", "+10 %",
     [](PlanSpec& s) { s.line.boil_off.tau_belt_s *= kTenPercent; }},
    {"line.boil_off.tau_lid_s", "+10 %",
     [](PlanSpec& s) { s.line.boil_off.tau_lid_s *= kTenPercent; }},
    {"line.boil_off.exponent", "1 or 2/3, the other one",
     [](PlanSpec& s) {
       s.line.boil_off.exponent = s.line.boil_off.exponent > 0.9 ? 2.0 / 3.0 : 1.0;
     }},
    {"line.boil_off.reference_mg", "+10 %",
     [](PlanSpec& s) { s.line.boil_off.reference_mg *= kTenPercent; }},
    {"line.headspace.sweep_efficiency", "+10 %",
     [](PlanSpec& s) { s.line.headspace.sweep_efficiency *= kTenPercent; }},
    {"line.headspace.cold_gas_k", "+10 K",
     [](PlanSpec& s) { s.line.headspace.cold_gas_k += 10.0; }},
    {"line.headspace.air_ingress_ml_per_s", "+1 ml/s",
     [](PlanSpec& s) { s.line.headspace.air_ingress_ml_per_s += 1.0; }},
    {"line.headspace.lid_flush_percent", "+10 points",
     [](PlanSpec& s) {
       s.line.headspace.lid_flush_percent =
           std::min(100.0, s.line.headspace.lid_flush_percent + 10.0);
     }},
    {"line.losses.flash_percent", "+1 point",
     [](PlanSpec& s) { s.line.losses.flash_percent += 1.0; }},
    {"line.losses.flight_percent", "+1 point",
     [](PlanSpec& s) { s.line.losses.flight_percent += 1.0; }},
    {"line.losses.splash_percent", "+1 point",
     [](PlanSpec& s) { s.line.losses.splash_percent += 1.0; }},
    {"container.creep_percent", "+0.1 points",
     [](PlanSpec& s) { s.container.creep_percent += 0.1; }},
});

bool is_default(const PlanSpec& spec, const std::string& key) {
  return std::any_of(spec.defaults.begin(), spec.defaults.end(),
                     [&](const PlanDefault& taken) { return taken.key == key; });
}

/// Works out pressures of place 1 after a change.
class Difference {
 public:
  Difference(const PlanSpec& spec, const DosePlan& plan)
      : spec_(spec), plan_(plan), first_(plan.places.front()) {}

  std::optional<double> after(const PlanSpec& changed, double nozzle_kg, const Wait& wait,
                              const PackChange& change) const {
    const PackPlan packs(changed);
    const double landed = landed_of(changed, nozzle_kg, first_.shot.captured);
    const auto settled = packs.target_equilibrium_Pa(packs.forward(landed, wait, change));
    if (!settled) return std::nullopt;
    return *settled - *first_.equilibrium_Pa;
  }

  std::optional<double> of_step(const Step& step) const {
    PlanSpec changed = spec_;
    step.apply(changed);
    return after(changed, first_.shot.nozzle_kg, first_.wait.expected, {});
  }
  std::optional<double> of_fill(double ml) const {
    return after(spec_, first_.shot.nozzle_kg, first_.wait.expected, {ml, 0.0});
  }
  std::optional<double> of_gas(double kelvins) const {
    return after(spec_, first_.shot.nozzle_kg, first_.wait.expected, {0.0, kelvins});
  }
  std::optional<double> of_valve(double seconds) const {
    const double kg = first_.shot.nozzle_kg + seconds * plan_.view.jet.flow_kg_per_s;
    return after(spec_, kg, first_.wait.expected, {});
  }
  std::optional<double> of_wait(double seconds) const {
    Wait wait = first_.wait.expected;
    wait.belt_s += seconds;
    return after(spec_, first_.shot.nozzle_kg, wait, {});
  }

 private:
  const PlanSpec& spec_;
  const DosePlan& plan_;
  const PlacePlan& first_;
};

}  // namespace

std::vector<Sensitivity> sensitivities(const PlanSpec& spec, const DosePlan& plan) {
  std::vector<Sensitivity> all;
  if (!plan.places.front().equilibrium_Pa) return all;
  const Difference difference(spec, plan);
  const auto add = [&](const char* key, const char* text, const std::optional<double>& pascal) {
    if (pascal && std::abs(*pascal) > 1.0) {
      all.push_back({key, text, *pascal, is_default(spec, key)});
    }
  };
  add("product.fill_ml", "+1 ml", difference.of_fill(1.0));
  add("valve open time", "+1 ms", difference.of_valve(0.001));
  add("line.valve.flow_ug_per_us", "+1 %",
      difference.of_valve(0.01 * plan.places.front().shot.flow_s));
  if (spec.bore.bore_um > 0.0) {
    add("bore.discharge", "+1 %", difference.of_valve(0.01 * plan.places.front().shot.flow_s));
  }
  add("wait", "+0.1 s", difference.of_wait(0.1));
  add("headspace gas at the seam", "+10 K", difference.of_gas(10.0));
  for (const Step& step : kSteps) add(step.key, step.text, difference.of_step(step));
  std::stable_sort(all.begin(), all.end(), [](const Sensitivity& a, const Sensitivity& b) {
    return std::abs(a.pascal) > std::abs(b.pascal);
  });
  return all;
}

}  // namespace rimebench
