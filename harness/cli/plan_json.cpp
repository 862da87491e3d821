#include "harness/cli/plan_json.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

#include "firmware_sim/contract/parameter_table.hpp"

namespace rimebench {

namespace {

using Json = nlohmann::ordered_json;

constexpr double kMg = 1e6;
constexpr double kMs = 1e3;
constexpr double kMm = 1e3;

/// Figures are shown to a millionth: a plan is not known better.
Json number(double value) {
  return std::isfinite(value) ? Json(std::round(value * 1e6) / 1e6) : Json();
}

Json kpa(const std::optional<double>& pascal) { return pascal ? number(*pascal / 1000.0) : Json(); }

const char* word(Severity severity) {
  switch (severity) {
    case Severity::kRefused:
      return "refused";
    case Severity::kWarned:
      return "warned";
    case Severity::kCaution:
      return "caution";
  }
  return "";
}

Json notes_json(const DosePlan& plan) {
  Json notes = Json::array();
  for (const PlanNote& note : plan.notes) {
    notes.push_back({{"severity", word(note.severity)},
                     {"key", note.key},
                     {"text", note.text},
                     {"nearest", note.nearest}});
  }
  return notes;
}

Json place_json(const PlacePlan& place) {
  return {{"place", place.wait.place},
          {"wait_s", number(place.wait.expected.total())},
          {"wait_shortest_s", number(place.wait.shortest.total())},
          {"sealed_mg", number(place.pack.sealed_kg * kMg)},
          {"landed_mg", number(place.pack.landed_kg * kMg)},
          {"nozzle_mg", number(place.shot.nozzle_kg * kMg)},
          {"valve_open_ms", number(place.shot.open_s * kMs)},
          {"flow_ms", number(place.shot.flow_s * kMs)},
          {"lead_ms", number(place.shot.lead_s * kMs)},
          {"streak_mm", number(place.shot.streak_m * kMm)},
          {"window_mm", number(place.shot.window_m * kMm)},
          {"captured_rim", number(place.shot.captured_rim)},
          {"captured_surface", number(place.shot.captured_surface)},
          {"captured", number(place.shot.captured)},
          {"equilibrium_kpa", kpa(place.equilibrium_Pa)},
          {"hot_prompt_kpa", kpa(place.hot_prompt_Pa)},
          {"hot_prompt_shortest_wait_kpa", kpa(place.hot_shortest_Pa)},
          {"equilibrium_shortest_wait_kpa", kpa(place.settled_shortest_Pa)}};
}

Json pressures_json(const DosePlan& plan) {
  Json rows = Json::array();
  for (const PressureRow& row : plan.pressures) {
    rows.push_back({{"celsius", number(row.celsius)},
                    {"what", row.what},
                    {"prompt_kpa", kpa(row.prompt_Pa)},
                    {"equilibrium_kpa", kpa(row.equilibrium_Pa)},
                    {"checked", row.checked}});
  }
  return rows;
}

Json after_seam_json(const DosePlan& plan) {
  Json rows = Json::array();
  for (const AfterSeam& row : plan.after_seam) {
    rows.push_back({{"seconds", number(row.seconds)},
                    {"moving_kpa", kpa(row.moving_Pa)},
                    {"resting_kpa", kpa(row.resting_Pa)},
                    {"resting_nitrogen_mg_per_kg", number(row.resting_mg_per_kg)}});
  }
  return rows;
}

Json sensitivities_json(const DosePlan& plan) {
  Json rows = Json::array();
  for (const Sensitivity& one : plan.sensitivities) {
    rows.push_back({{"key", one.key},
                    {"step", one.step},
                    {"kpa", number(one.pascal / 1000.0)},
                    {"default_used", one.is_default}});
  }
  return rows;
}

Json supply_json(const SupplyPlan& supply) {
  Json vessels = Json::array();
  for (const VesselPlan& vessel : supply.vessels) {
    vessels.push_back({{"name", vessel.name},
                       {"hours", number(vessel.hours)},
                       {"containers", number(vessel.containers)},
                       {"containers_left_at_level", number(vessel.containers_left)}});
  }
  return {{"dose_l_per_h", number(supply.dose_l_per_h)},
          {"drawn_l_per_h", number(supply.drawn_l_per_h)},
          {"cool_down_l", number(supply.cool_down_l)},
          {"vessels", vessels}};
}

Json room_json(const DosePlan& plan) {
  if (!plan.room) return {};
  return {{"nitrogen_m3_per_h", number(plan.room->nitrogen_m3_per_h)},
          {"steady_percent", number(plan.room->steady_percent)},
          {"spill_percent", number(plan.room->spill_percent)},
          {"spill_mixed_percent", number(plan.room->spill_mixed_percent)},
          {"extract_m3_per_h", number(plan.room->extract_m3_per_h)}};
}

Json nitrogenation_json(const DosePlan& plan) {
  if (!plan.nitrogenation) return {};
  const NitrogenationPlan& tank = *plan.nitrogenation;
  return {{"equilibrium_mg_per_kg", number(tank.equilibrium_mg_per_kg)},
          {"days", tank.days ? number(*tank.days) : Json()},
          {"diffusion_only_percent", number(tank.diffusion_only_percent)}};
}

Json stops_json(const DosePlan& plan) {
  Json rows = Json::array();
  for (const StopRow& row : plan.stops) {
    rows.push_back({{"seconds", number(row.seconds)},
                    {"equilibrium_kpa", kpa(row.equilibrium_Pa)},
                    {"discard_from_place", row.discard_from},
                    {"cool_down", row.cool_down}});
  }
  return rows;
}

Json recipe_json(const DosePlan& plan) {
  if (!plan.recipe) return {};
  Json recipe = Json::object();
  for (const ParameterRow& row : kParameterTable) {
    if (row.entries == 1) {
      recipe[row.key] = plan.recipe->get(row.parameter);
      continue;
    }
    recipe[row.key] = Json::array();
    for (int i = 0; i < row.entries; ++i)
      recipe[row.key].push_back(plan.recipe->get(row.parameter, i));
  }
  return recipe;
}

}  // namespace

std::string plan_json(const PlanSpec& spec, const DosePlan& plan) {
  Json json{{"plan", spec.name}, {"title", spec.title}};
  json["verdict"] = any_refusal(plan.notes) ? "refused" : "planned";
  json["target"] = {{"key", target_key(spec.target.kind)},
                    {"value", number(spec.target.value)},
                    {"at_c", number(spec.target.at_c)}};
  json["notes"] = notes_json(plan);
  json["ramp_needed"] = plan.ramp_needed;
  json["places"] = Json::array();
  for (const PlacePlan& place : plan.places) json["places"].push_back(place_json(place));
  json["belt_m_per_s"] = number(plan.view.belt_m_per_s);
  json["single_shots_until_m_per_s"] = number(plan.single_shots_until.belt_m_per_s);
  json["hot_allowed_kpa"] = number(plan.hot_allowed_Pa / 1000.0);
  json["pressures"] = pressures_json(plan);
  json["fill_limit_ml"] = plan.fill_limit ? number(plan.fill_limit->fill_ml) : Json();
  json["dissolved_nitrogen_mg_per_kg"] = number(plan.target_nitrogen_mg_per_kg);
  json["oxygen"] = {{"headspace_percent", number(plan.oxygen.headspace_percent)},
                    {"total_ppb", number(plan.oxygen.total_ppb)},
                    {"dissolved_ppb", number(plan.oxygen.dissolved_ppb)},
                    {"sweep_volumes", number(plan.oxygen.sweep_volumes)}};
  json["after_seam"] = after_seam_json(plan);
  json["sensitivities"] = sensitivities_json(plan);
  json["supply"] = supply_json(plan.supply);
  json["room"] = room_json(plan);
  json["nitrogenation"] = nitrogenation_json(plan);
  json["stops"] = stops_json(plan);
  json["recipe"] = recipe_json(plan);
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace rimebench
