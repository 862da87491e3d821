#include "harness/dossier/plan_blocks.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "firmware_sim/contract/parameter_table.hpp"
#include "harness/dossier/names.hpp"

namespace rimebench {

namespace {

constexpr double kMg = 1e6;
constexpr double kMs = 1e3;
constexpr double kMm = 1e3;

Cell mg(double kg) { return Figure{kg * kMg, Measure::kMassMg, 2}; }
Cell ms(double seconds) { return Figure{seconds * kMs, Measure::kTimeMs, 2}; }
Cell mm(double metres) { return Figure{metres * kMm, Measure::kLengthMm, 1}; }
Cell seconds(double time_s) { return Figure{time_s, Measure::kTimeS}; }
Cell percent(double value, int digits) { return Figure{value, Measure::kSharePercent, digits}; }
Cell litres(double value) { return Figure{value, Measure::kVolumeL, 2}; }

const char* severity_text(Severity severity) {
  switch (severity) {
    case Severity::kRefused:
      return "refused";
    case Severity::kWarned:
      return "warning";
    case Severity::kCaution:
      return "caution";
  }
  return "";
}

std::vector<TableColumn> columns(std::initializer_list<const char*> names) {
  std::vector<TableColumn> all;
  for (const char* name : names) all.push_back({name, {}, {}, true});
  all.front().right = false;
  return all;
}

}  // namespace

Cell pressure_cell(const std::optional<double>& gauge_Pa) {
  if (!gauge_Pa) return std::string("liquid-full");
  return Figure{*gauge_Pa / 1000.0, Measure::kPressureKpa, 1};
}

TableBlock plan_notes_table(const DosePlan& plan) {
  TableBlock table;
  table.columns = {{"how grave"}, {"about"}, {"what"}, {"nearest that would do"}};
  for (const PlanNote& note : plan.notes) {
    table.rows.push_back({severity_text(note.severity), note.key, note.text, note.nearest});
  }
  return table;
}

TableBlock plan_places_table(const DosePlan& plan) {
  TableBlock table;
  table.columns = columns({"place", "waits", "sealed in", "landed", "at the nozzle", "valve open",
                           "settled", "hot, prompt", "hot after the shortest wait"});
  for (const PlacePlan& place : plan.places) {
    table.rows.push_back({std::int64_t{place.wait.place}, seconds(place.wait.expected.total()),
                          mg(place.pack.sealed_kg), mg(place.pack.landed_kg),
                          mg(place.shot.nozzle_kg), ms(place.shot.open_s),
                          pressure_cell(place.equilibrium_Pa), pressure_cell(place.hot_prompt_Pa),
                          pressure_cell(place.hot_shortest_Pa)});
  }
  return table;
}

FactsBlock plan_losses_facts(const PlanSpec& spec, const DosePlan& plan) {
  const PlacePlan& place = plan.places.front();
  const LossesSpec& losses = spec.line.losses;
  FactsBlock facts;
  double left_kg = place.shot.nozzle_kg;
  facts.rows.push_back({"at the nozzle", mg(left_kg)});
  const auto lose = [&](const char* what, double share) {
    facts.rows.push_back({what, mg(-left_kg * share)});
    left_kg *= 1.0 - share;
  };
  lose("flash at the valve", losses.flash_percent / 100.0);
  lose("in flight", losses.flight_percent / 100.0);
  lose("splash", losses.splash_percent / 100.0);
  lose("beside the opening", 1.0 - place.shot.captured);
  facts.rows.push_back({"landed on the drink", mg(place.pack.landed_kg)});
  facts.rows.push_back({"boils off on the way to the seam", mg(-place.pack.evaporated_kg())});
  facts.rows.push_back({"sealed in as liquid", mg(place.pack.sealed_kg)});
  return facts;
}

FactsBlock plan_timing_facts(const PlanSpec& spec, const DosePlan& plan) {
  const Shot& shot = plan.places.back().shot;
  const NozzleView& view = plan.view;
  const auto to_nozzle_um = static_cast<double>(
      spec.line.stations.nozzle_um - spec.line.stations.sensor_um + spec.container.body_um / 2);
  const double per_min =
      spec.containers_per_min * plan.single_shots_until.belt_m_per_s / view.belt_m_per_s;
  return {{{"belt", Figure{view.belt_m_per_s * 1e3, Measure::kSpeedMmPerS, 1}},
           {"sensor edge to the opening under the nozzle", mm(to_nozzle_um * 1e-6)},
           {"the same in time", ms(to_nozzle_um * 1e-6 / view.belt_m_per_s)},
           {"command before landing", ms(shot.lead_s)},
           {"flight to the drink", ms(view.to_drink_s)},
           {"streak on the drink", mm(shot.streak_m)},
           {"landing window, either way", mm(shot.window_m)},
           {"caught by the opening", percent(shot.captured * 100.0, 1)},
           {"single shots fit up to", Figure{per_min, Measure::kRatePerMin, 0},
            plan.single_shots_until.by_streak ? "then the streak no longer fits the opening"
                                              : "then the valve has no time to rest"}}};
}

TableBlock plan_pressures_table(const DosePlan& plan) {
  TableBlock table;
  table.columns = columns({"why", "at", "prompt", "settled", "held against the rating"});
  for (const PressureRow& row : plan.pressures) {
    table.rows.push_back({row.what, Figure{row.celsius, Measure::kTemperatureC, 1},
                          pressure_cell(row.prompt_Pa), pressure_cell(row.equilibrium_Pa),
                          std::string(row.checked ? "yes" : "no")});
  }
  return table;
}

TableBlock plan_after_seam_table(const DosePlan& plan) {
  TableBlock table;
  table.columns = columns({"after", "moved on", "standing still", "nitrogen in the drink, mg/kg"});
  for (const AfterSeam& row : plan.after_seam) {
    table.rows.push_back({seconds(row.seconds), pressure_cell(row.moving_Pa),
                          pressure_cell(row.resting_Pa), row.resting_mg_per_kg});
  }
  table.columns.back().digits = 1;
  return table;
}

FactsBlock plan_oxygen_facts(const DosePlan& plan) {
  const OxygenPlan& oxygen = plan.oxygen;
  return {{{"oxygen in the headspace", percent(oxygen.headspace_percent, 2)},
           {"in the whole package", Figure{oxygen.total_ppb, Measure::kTpoPpb, 0}},
           {"of it brought by the drink", Figure{oxygen.dissolved_ppb, Measure::kTpoPpb, 0}},
           {"headspace volumes that boil off before the seam", oxygen.sweep_volumes},
           {"nitrogen in the drink once settled, mg/kg", plan.target_nitrogen_mg_per_kg}}};
}

BarsBlock plan_sensitivities(const DosePlan& plan) {
  BarsBlock bars{"change of the settled pressure", Measure::kPressureKpa, 2, 0.0, {}};
  for (const Sensitivity& one : plan.sensitivities) {
    const double kpa = one.pascal / 1000.0;
    Bar bar{one.key, std::min(0.0, kpa), std::max(0.0, kpa), {}, one.step};
    if (one.is_default) bar.note += "; not given: measure it";
    bars.rows.push_back(std::move(bar));
  }
  return bars;
}

FactsBlock plan_supply_facts(const DosePlan& plan) {
  return {{{"through the nozzle in an hour", litres(plan.supply.dose_l_per_h)},
           {"drawn from the vessel in an hour", litres(plan.supply.drawn_l_per_h),
            "with flash, transfer and the heat into the head"},
           {"one first cool-down", litres(plan.supply.cool_down_l)}}};
}

TableBlock plan_vessels_table(const PlanSpec& spec, const DosePlan& plan) {
  TableBlock table;
  table.columns = columns({"vessel", "lasts, hours", "containers"});
  table.columns[1].digits = 1;
  table.columns[2].digits = 0;
  table.columns.push_back({fmt::format("left at {:g} %", spec.supply.level_percent), {}, 0, true});
  for (const VesselPlan& vessel : plan.supply.vessels) {
    table.rows.push_back({vessel.name, vessel.hours, vessel.containers, vessel.containers_left});
  }
  return table;
}

FactsBlock plan_room_facts(const PlanSpec& spec, const DosePlan& plan) {
  if (!plan.room) return {};
  const RoomPlan& room = *plan.room;
  return {{{"room", Figure{spec.room.volume_m3, Measure::kVolumeM3, 0}},
           {"nitrogen gas in an hour", Figure{room.nitrogen_m3_per_h, Measure::kVolumeM3, 2}},
           {"oxygen settles at", percent(room.steady_percent, 2)},
           {"oxygen after a full spill", percent(room.spill_percent, 1),
            fmt::format("{:g} l at once; the gas pushes room air out", spec.room.spill_l)},
           {"the same if it mixes on its way out", percent(room.spill_mixed_percent, 1)},
           {"extract an hour that keeps 19.5 %",
            Figure{room.extract_m3_per_h, Measure::kVolumeM3, 0}}}};
}

TableBlock plan_stops_table(const DosePlan& plan) {
  TableBlock table;
  table.columns = {{"stopped for"}, {"place 1 settles at"}, {"do"}};
  for (const StopRow& row : plan.stops) {
    std::string todo = "run on";
    if (row.discard_from == 1) todo = "discard all between nozzle and seam";
    if (row.discard_from > 1) {
      todo = fmt::format("discard places {} and later between nozzle and seam", row.discard_from);
    }
    if (row.cool_down) todo += "; cool down and fire test shots";
    table.rows.push_back({seconds(row.seconds), pressure_cell(row.equilibrium_Pa), todo});
  }
  return table;
}

TableBlock plan_recipe_table(const DosePlan& plan) {
  TableBlock table;
  table.columns = {{"key"}, {"value", {}, {}, true}, {"unit"}, {"meaning"}};
  table.columns[0].kind = "code";
  if (!plan.recipe) return table;
  for (const ParameterRow& row : kParameterTable) {
    std::string value;
    for (int i = 0; i < row.entries; ++i) {
      value += fmt::format("{}{}", i > 0 ? ", " : "", plan.recipe->get(row.parameter, i));
    }
    table.rows.push_back(
        {std::string(row.key), value, std::string(row.unit), std::string(row.doc)});
  }
  return table;
}

SignoffBlock plan_signoff(const PlanSpec& spec, const DosePlan& plan) {
  return {{{"pressure rating of the container",
            Figure{spec.container.rating_kpa, Measure::kPressureKpa, 0}},
           {"safety factor on that rating", spec.container.rating_safety_factor},
           {"hot pressure, at most", pressure_cell(plan.hot_allowed_Pa)},
           {"hottest temperature checked", Figure{plan.hottest_c, Measure::kTemperatureC, 1}},
           {in_words(target_key(spec.target.kind)), spec.target.value},
           {"what a pack may be off", Figure{spec.target.tolerance_kpa, Measure::kPressureKpa, 1}},
           {"oxygen in the room, at least", percent(19.5, 1)}}};
}

}  // namespace rimebench
