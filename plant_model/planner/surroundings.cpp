#include "plant_model/planner/surroundings.hpp"

#include <array>

#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/nitrogen.hpp"
#include "plant_model/physics/nitrogenation.hpp"
#include "plant_model/physics/room.hpp"
#include "plant_model/physics/solubility.hpp"
#include "plant_model/physics/vessel.hpp"
#include "plant_model/physics/water.hpp"

namespace rimebench {

namespace {

constexpr double kLitrePerM3 = 1000.0;
constexpr double kSecondsPerHour = 3600.0;
constexpr double kSecondsPerDay = 86'400.0;
constexpr double kHoursPerDay = 24.0;
constexpr double kRoomC = 20.0;
constexpr double kRuleOfThumbDays = 5.0;
constexpr double kMgPerKg = 1e6;

double mean_dose_kg(const DosePlan& plan) {
  double sum = 0.0;
  for (const PlacePlan& place : plan.places) sum += place.shot.nozzle_kg;
  return sum / static_cast<double>(plan.places.size());
}

std::vector<VesselSpec> vessels_of(const SupplySpec& supply) {
  // A published data sheet has 1.5 % a day for the smaller class; the larger is from memory.
  std::vector<VesselSpec> vessels{{"180 L vessel", 180.0, 1.5}, {"230 L vessel", 230.0, 1.2}};
  if (supply.bulk_l > 0.0) {
    vessels.push_back({"bulk tank", supply.bulk_l, supply.bulk_boil_off_percent_per_day});
  }
  return vessels;
}

void plan_supply(const PlanSpec& spec, DosePlan& plan) {
  const SupplySpec& supply = spec.supply;
  const double per_hour = spec.containers_per_min * 60.0;
  const double kg_per_s = mean_dose_kg(plan) * per_hour / kSecondsPerHour;
  const physics::Consumption use{kg_per_s, supply.flash_percent / 100.0,
                                 supply.transfer_percent / 100.0, supply.head_w};
  SupplyPlan& out = plan.supply;
  const double litre_per_h = kLitrePerM3 * kSecondsPerHour;
  out.dose_l_per_h = kg_per_s / physics::kLiquidNitrogenKgPerM3 * litre_per_h;
  out.drawn_l_per_h = physics::drawn_m3_per_s(use) * litre_per_h;
  out.cool_down_l = supply.cold_metal_kg * physics::cool_down_kg_per_kg() /
                    physics::kLiquidNitrogenKgPerM3 * kLitrePerM3;
  const double cool_downs_l_per_h = out.cool_down_l * supply.cool_downs_per_day / kHoursPerDay;
  for (const VesselSpec& vessel : vessels_of(supply)) {
    const double own = physics::own_boil_off_m3_per_s({vessel.gross_l / kLitrePerM3,
                                                       vessel.boil_off_percent_per_day / 100.0}) *
                       litre_per_h;
    const double all = out.drawn_l_per_h + own + cool_downs_l_per_h;
    const double hours = supply.usable_percent / 100.0 * vessel.gross_l / all;
    const double hours_left = supply.level_percent / 100.0 * hours;
    out.vessels.push_back({vessel.name, hours, hours * per_hour, hours_left * per_hour});
  }
}

void caution(DosePlan& plan, Severity severity, const char* key, std::string text,
             std::string nearest = {}) {
  plan.notes.push_back({severity, key, std::move(text), std::move(nearest)});
}

void plan_room(const PlanSpec& spec, DosePlan& plan) {
  const RoomSpec& room = spec.room;
  if (room.volume_m3 <= 0.0) {
    caution(plan, Severity::kCaution, "room.volume_m3",
            "not given: oxygen in the room is not worked out, and must be before the vessel comes "
            "in");
    return;
  }
  const double expansion = physics::kLiquidNitrogenKgPerM3 /
                           physics::nitrogen_gas_kg_per_m3(physics::kAtmospherePa, kelvin(kRoomC));
  const double nitrogen = plan.supply.drawn_l_per_h / kLitrePerM3 * expansion;
  const physics::Ventilation air{room.volume_m3,
                                 room.air_changes_per_h * room.volume_m3 * room.mixing, nitrogen};
  const double spilt = room.spill_l / kLitrePerM3 * expansion;
  RoomPlan out;
  out.nitrogen_m3_per_h = nitrogen;
  out.steady_percent = 100.0 * physics::steady_oxygen_extract(air);
  out.spill_percent = 100.0 * physics::oxygen_after_release(room.volume_m3, spilt);
  out.spill_mixed_percent = 100.0 * physics::oxygen_after_mixing_release(room.volume_m3, spilt);
  out.extract_m3_per_h = physics::extract_for(nitrogen, kOxygenAlarmPercent / 100.0) / room.mixing;
  plan.room = out;
  if (out.steady_percent < kOxygenAlarmPercent) {
    caution(plan, Severity::kWarned, "room.air_changes_per_h",
            "the line alone brings the room to " + figure(out.steady_percent, 1, "%") +
                " of oxygen, below 19.5 %",
            figure(out.extract_m3_per_h, 0, "m3/h of extract"));
  }
  if (out.spill_percent < kOxygenLeavePercent) {
    caution(plan, Severity::kWarned, "room.volume_m3",
            "a spill of " + figure(room.spill_l, 0, "litres") + " brings it to " +
                figure(out.spill_percent, 1, "%") +
                " of oxygen: the vessel does not belong in this room without an alarm and extract");
  }
  caution(plan, Severity::kCaution, "room",
          "cold vapour is nearly four times as heavy as air and pools low, in pits and drains: "
          "near the floor these figures are not on the safe side; sensors stand low, and local "
          "codes and licensed practice decide");
}

constexpr auto kStopSeconds =
    std::to_array<double>({1.0, 2.0, 5.0, 10.0, 30.0, 60.0, 300.0, 900.0, 3600.0});

}  // namespace

void plan_supply_and_room(const PlanSpec& spec, DosePlan& plan) {
  plan_supply(spec, plan);
  plan_room(spec, plan);
}

void plan_nitrogenation(const PlanSpec& spec, DosePlan& plan) {
  const NitrogenationSpec& tank = spec.nitrogenation;
  if (tank.tau_days <= 0.0) return;
  const double at_K = kelvin(tank.tank_c);
  const double partial =
      physics::kAtmospherePa + tank.tank_kpa * 1000.0 - physics::water_saturation_Pa(at_K);
  const double settled = physics::dissolved_kg_per_kg(physics::Gas::kNitrogen, partial, at_K) *
                         spec.product.solubility_percent / 100.0;
  const physics::Dissolving drink{tank.start_mg_per_kg / kMgPerKg, settled,
                                  tank.tau_days * kSecondsPerDay};
  NitrogenationPlan out;
  out.equilibrium_mg_per_kg = settled * kMgPerKg;
  if (const auto seconds = physics::seconds_until(drink, tank.wanted_mg_per_kg / kMgPerKg)) {
    out.days = *seconds / kSecondsPerDay;
  } else {
    plan.notes.push_back({Severity::kRefused, "nitrogenation.wanted_mg_per_kg",
                          figure(tank.wanted_mg_per_kg, 0, "mg/kg") +
                              " is never reached: at this pressure and temperature the drink "
                              "settles at " +
                              figure(out.equilibrium_mg_per_kg, 1, "mg/kg"),
                          figure(0.95 * out.equilibrium_mg_per_kg, 0, "mg/kg, or more pressure")});
  }
  for (const double days : kNitrogenationDays) {
    out.after_days_mg_per_kg.push_back(physics::dissolved_after(drink, days * kSecondsPerDay) *
                                       kMgPerKg);
  }
  out.diffusion_only_percent =
      100.0 * physics::diffusion_share(physics::nitrogen_in_water_m2_per_s(at_K),
                                       tank.depth_mm / 1000.0, kRuleOfThumbDays * kSecondsPerDay);
  plan.nitrogenation = out;
}

void plan_stops(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  for (const double seconds : kStopSeconds) {
    StopRow row;
    row.seconds = seconds;
    row.cool_down = seconds > spec.restart.warm_after_min * 60.0;
    for (auto place = plan.places.rbegin(); place != plan.places.rend(); ++place) {
      Wait wait = place->wait.expected;
      wait.belt_s += seconds;
      const auto now = packs.target_equilibrium_Pa(packs.forward(place->pack.landed_kg, wait));
      row.equilibrium_Pa = now;
      const bool soft = !now || !place->equilibrium_Pa ||
                        *place->equilibrium_Pa - *now > spec.target.tolerance_kpa * 1000.0;
      if (soft) row.discard_from = place->wait.place;
    }
    plan.stops.push_back(row);
  }
}

}  // namespace rimebench
