#include "harness/cli/plan_text_blocks.hpp"

#include <fmt/format.h>

#include "plant_model/planner/surroundings.hpp"

namespace rimebench {

namespace {

constexpr double kPaPerPsi = 6894.757293168;
constexpr std::size_t kLineWidth = 100;

std::string time_text(double seconds) {
  if (seconds < 60.0) return fmt::format("{:.0f} s", seconds);
  if (seconds <= 3600.0) return fmt::format("{:.0f} min", seconds / 60.0);
  return fmt::format("{:.0f} d", seconds / 86'400.0);
}

}  // namespace

std::string pressure(const std::optional<double>& gauge_Pa) {
  if (!gauge_Pa) return "liquid-full";
  return fmt::format("{:.1f} ({:.1f})", *gauge_Pa / 1000.0, *gauge_Pa / kPaPerPsi);
}

double fahrenheit(double celsius) { return celsius * 9.0 / 5.0 + 32.0; }

std::string wrapped(const std::string& text, std::size_t indent) {
  std::string result;
  std::size_t from = 0;
  while (from < text.size()) {
    const std::size_t width = kLineWidth - (from > 0 ? indent : 0);
    std::size_t to = text.size();
    if (to - from > width) {
      to = text.rfind(' ', from + width);
      if (to == std::string::npos || to <= from) to = from + width;
    }
    result += (from > 0 ? std::string(indent, ' ') : "") + text.substr(from, to - from) + "\n";
    from = to;
    while (from < text.size() && text[from] == ' ') ++from;
  }
  return result;
}

std::string pressures_text(const PlanSpec& spec, const DosePlan& plan) {
  std::string text =
      "pressure of place 1, kPa (psi)\n       at                          prompt      "
      "  settled\n";
  for (const PressureRow& row : plan.pressures) {
    const bool over = !row.prompt_Pa || *row.prompt_Pa > plan.hot_allowed_Pa;
    text +=
        fmt::format("  {:>5.1f} C  {:<20}{:>14} {:>14}{}\n", row.celsius, row.what,
                    pressure(row.prompt_Pa), pressure(row.equilibrium_Pa),
                    over ? row.checked ? "  over the allowed" : "  would be over the allowed" : "");
  }
  text +=
      "  prompt: all nitrogen boiled, none dissolved: what a check a minute after the seam sees\n";
  if (plan.undosed_cold_Pa && !spec.product.dry) {
    text += fmt::format("  without nitrogen it would settle at {} kPa (psi) at {:g} C\n",
                        pressure(plan.undosed_cold_Pa), spec.checks.cold_c);
  }
  if (plan.fill_limit) {
    const double over_ml = plan.fill_limit->fill_ml - spec.product.fill_ml;
    text += fmt::format(
        "  with this dose the hot check fails from a fill of {:.1f} ml ({:.2f} US fl oz), "
        "{:+.1f} ml\n",
        plan.fill_limit->fill_ml, plan.fill_limit->fill_ml / kMlPerFluidOunce, over_ml);
  }
  return text + "\n";
}

std::string after_seam_text(const PlanSpec& spec, const DosePlan& plan) {
  if (plan.after_seam.empty()) return {};
  std::string text = fmt::format(
      "after the seam, at {:g} C, kPa (psi)\n    after        moved on    standing still   "
      "nitrogen then\n",
      spec.product.fill_temperature_c);
  for (const AfterSeam& row : plan.after_seam) {
    text += fmt::format("  {:>7}  {:>14}    {:>14}   {:>5.1f} mg/kg\n", time_text(row.seconds),
                        pressure(row.moving_Pa), pressure(row.resting_Pa), row.resting_mg_per_kg);
  }
  return text +
         "  the nitrogen still boils at first: an in-line check within a few seconds reads low and "
         "rising\n\n";
}

std::string oxygen_text(const DosePlan& plan) {
  return fmt::format(
      "oxygen and nitrogen\n  headspace {:.2f} % of oxygen; whole package {:.0f} ppb, {:.0f} of it "
      "brought by the drink\n  {:.2f} headspace volumes boil off before the seam\n  dissolved "
      "nitrogen once settled: {:.1f} mg/kg\n\n",
      plan.oxygen.headspace_percent, plan.oxygen.total_ppb, plan.oxygen.dissolved_ppb,
      plan.oxygen.sweep_volumes, plan.target_nitrogen_mg_per_kg);
}

std::string sensitivities_text(const PlanSpec& spec, const DosePlan& plan) {
  if (plan.sensitivities.empty()) return {};
  std::string text = "what matters: the settled pressure changes by, kPa (psi)\n";
  for (const Sensitivity& one : plan.sensitivities) {
    text += fmt::format("  {:<40}{:<24}{:>+7.2f} ({:>+6.2f}){}\n", one.key, one.step,
                        one.pascal / 1000.0, one.pascal / kPaPerPsi,
                        one.is_default ? "  not given: measure it" : "");
  }
  if (!spec.defaults.empty()) {
    std::string taken;
    for (const PlanDefault& one : spec.defaults) {
      taken += (taken.empty() ? "" : ", ") + one.key + " " + one.text;
    }
    text += wrapped("  taken for what the file leaves out: " + taken, 4);
  }
  return text + "\n";
}

std::string supply_text(const PlanSpec& spec, const DosePlan& plan) {
  const SupplyPlan& supply = plan.supply;
  std::string text = fmt::format(
      "supply\n  {:.2f} l/h through the nozzle, {:.2f} l/h drawn from the vessel; one cool-down "
      "takes {:.1f} l\n",
      supply.dose_l_per_h, supply.drawn_l_per_h, supply.cool_down_l);
  for (const VesselPlan& vessel : supply.vessels) {
    text += fmt::format("  {:<14}{:>7.1f} h, {:>9.0f} containers; {:.0f} left at {:g} %\n",
                        vessel.name, vessel.hours, vessel.containers, vessel.containers_left,
                        spec.supply.level_percent);
  }
  return text + "\n";
}

std::string room_text(const PlanSpec& spec, const DosePlan& plan) {
  if (!plan.room) return {};
  const RoomPlan& room = *plan.room;
  return fmt::format(
      "room of {:g} m3\n  {:.2f} m3/h of nitrogen gas; oxygen settles at {:.2f} %\n  after {:g} l "
      "spilt at once {:.1f} % ({:.1f} % if it mixes on the way out)\n  {:.0f} m3/h of extract keep "
      "{} %; people leave below {} %\n\n",
      spec.room.volume_m3, room.nitrogen_m3_per_h, room.steady_percent, spec.room.spill_l,
      room.spill_percent, room.spill_mixed_percent, room.extract_m3_per_h, kOxygenAlarmPercent,
      kOxygenLeavePercent);
}

std::string nitrogenation_text(const PlanSpec& spec, const DosePlan& plan) {
  if (!plan.nitrogenation) return {};
  const NitrogenationPlan& tank = *plan.nitrogenation;
  std::string text = fmt::format("nitrogenation at {} and {:g} C: settles at {:.1f} mg/kg\n",
                                 kpa_psi(spec.nitrogenation.tank_kpa * 1000.0),
                                 spec.nitrogenation.tank_c, tank.equilibrium_mg_per_kg);
  text += tank.days
              ? fmt::format("  {:g} mg/kg after {:.1f} days\n", spec.nitrogenation.wanted_mg_per_kg,
                            *tank.days)
              : fmt::format("  {:g} mg/kg is never reached\n", spec.nitrogenation.wanted_mg_per_kg);
  text += "  ";
  for (std::size_t i = 0; i < tank.after_days_mg_per_kg.size(); ++i) {
    text += fmt::format("{}{:g} d: {:.1f}", i > 0 ? ", " : "", kNitrogenationDays[i],
                        tank.after_days_mg_per_kg[i]);
  }
  return text + fmt::format(
                    " mg/kg\n  if the tank stands quiet, diffusion does {:.1f} % of the way "
                    "in five days\n\n",
                    tank.diffusion_only_percent);
}

std::string stops_text(const PlanSpec& spec, const DosePlan& plan) {
  std::string text = fmt::format(
      "for the operator: after a stop with the belt standing (a pack may lose {:g} kPa)\n"
      "  stopped   settles at kPa (psi)  do\n",
      spec.target.tolerance_kpa);
  const bool groups = plan.places.size() > 1;
  for (const StopRow& row : plan.stops) {
    std::string todo = "run on";
    if (row.discard_from > 0) {
      todo =
          groups && row.discard_from > 1
              ? fmt::format("discard places {} and later between nozzle and seam", row.discard_from)
              : "discard all between nozzle and seam";
    }
    if (row.cool_down) {
      todo += fmt::format("; cool down {:g} min, {} test shots", spec.restart.cool_down_min,
                          spec.restart.test_shots);
    }
    text += fmt::format("  {:>7}   {:>19}   {}\n", time_text(row.seconds),
                        pressure(row.equilibrium_Pa), todo);
  }
  return text +
         "  whatever stood under the nozzle undosed is discarded too; the controller flags what it "
         "sees\n\n";
}

}  // namespace rimebench
