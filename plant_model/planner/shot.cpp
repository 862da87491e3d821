#include "plant_model/planner/shot.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "plant_model/physics/boil_off.hpp"
#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/flight.hpp"
#include "plant_model/physics/valve_flow.hpp"
#include "plant_model/planner/waits.hpp"
#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

constexpr double kDeviations = 3.0;
/// The captured share changes the mass, and that the streak: a few rounds settle it.
constexpr int kCaptureRounds = 30;

double landed_share_of(const PlanSpec& plan) {
  const LossesSpec& losses = plan.line.losses;
  return physics::landed_share({losses.flash_percent / 100.0, losses.flight_percent / 100.0,
                                losses.splash_percent / 100.0, 0.0});
}

/// The container moves on by this much while the liquid falls from the rim to the surface.
double shift_m(const NozzleView& view) {
  return view.belt_m_per_s * (view.to_drink_s - view.to_rim_s);
}

void capture(const PlanSpec& plan, const NozzleView& view, Shot& shot) {
  const double shift = shift_m(view);
  const physics::Streak streak{view.jet.radius_m, shot.streak_m, shift,
                               metres(plan.line.nozzle.lateral_um)};
  const physics::Plane rim{view.opening_radius_m, 0.0};
  const physics::Plane surface{view.opening_radius_m, -shift};
  const std::array<physics::Plane, 1> only_rim{rim};
  const std::array<physics::Plane, 1> only_surface{surface};
  const std::array<physics::Plane, 2> both{rim, surface};
  shot.captured_rim = physics::captured_share(streak, only_rim, 0.0);
  shot.captured_surface = physics::captured_share(streak, only_surface, 0.0);
  shot.captured = physics::captured_share(streak, both, 0.0);
}

/// From one container to the next under the nozzle, at the closest.
double pitch_m(const PlanSpec& plan) {
  const FillerSpec& filler = plan.line.filler;
  return metres(filler.kind == FillerKind::kRotary ? filler.pitch_um : filler.head_pitch_um);
}

}  // namespace

Jet jet_of(const PlanSpec& plan) {
  const BoreSpec& bore = plan.bore;
  if (bore.bore_um <= 0.0) {
    return {plan.line.valve.flow_ug_per_us * 1e-3, metres(plan.line.nozzle.jet_speed_um_per_s),
            metres(plan.line.nozzle.jet_diameter_um) / 2.0};
  }
  const double driving = physics::driving_Pa(bore.head_kpa * 1000.0, bore.level_um * kMetresPerUm);
  const double bore_m = bore.bore_um * kMetresPerUm;
  return {physics::nozzle_flow_kg_per_s(bore.discharge, bore_m, driving),
          physics::jet_speed_m_per_s(driving), bore_m / 2.0};
}

NozzleView nozzle_view(const PlanSpec& plan) {
  NozzleView view;
  view.belt_m_per_s = belt_m_per_s(plan);
  view.opening_radius_m = metres(plan.container.opening_um) / 2.0;
  view.jet = jet_of(plan);
  const double height = metres(plan.line.nozzle.height_um);
  view.to_rim_s = physics::fall_time_s(view.jet.speed_m_per_s, height);
  view.to_drink_s =
      physics::fall_time_s(view.jet.speed_m_per_s, height + metres(plan.product.rim_to_drink_um));
  view.jitter_m =
      view.belt_m_per_s * kDeviations *
      std::hypot(seconds(plan.line.valve.jitter_sd_us), seconds(plan.line.sensor.jitter_sd_us));
  return view;
}

double open_s_for(const PlanSpec& plan, const Jet& jet, double nozzle_kg) {
  return nozzle_kg / jet.flow_kg_per_s + seconds(plan.line.valve.open_delay_us) -
         seconds(plan.line.valve.close_delay_us);
}

double nozzle_kg_for(const PlanSpec& plan, const Jet& jet, double open_s) {
  const double flow_s =
      open_s - seconds(plan.line.valve.open_delay_us) + seconds(plan.line.valve.close_delay_us);
  return jet.flow_kg_per_s * std::max(flow_s, 0.0);
}

double least_open_s(const PlanSpec& plan) {
  const ValveSpec& valve = plan.line.valve;
  return seconds(valve.open_delay_us) + kDeviations * seconds(valve.jitter_sd_us);
}

double landed_of(const PlanSpec& plan, double nozzle_kg, double captured) {
  return nozzle_kg * landed_share_of(plan) * captured;
}

double longest_streak_m(const NozzleView& view) {
  return 2.0 * (view.opening_radius_m - view.jet.radius_m - view.jitter_m - shift_m(view));
}

Shot shot_for(const PlanSpec& plan, const NozzleView& view, double landed_kg) {
  Shot shot;
  shot.landed_kg = landed_kg;
  shot.captured = 1.0;
  for (int round = 0; round < kCaptureRounds; ++round) {
    const double before = shot.captured;
    shot.nozzle_kg = landed_kg / (landed_share_of(plan) * before);
    shot.flow_s = shot.nozzle_kg / view.jet.flow_kg_per_s;
    shot.streak_m = view.belt_m_per_s * shot.flow_s;
    capture(plan, view, shot);
    // A streak that does not fit only grows if it is to make good what it misses: it is refused as
    // it is, and so is a shot that mostly misses.
    const bool in_vain = shot.streak_m > longest_streak_m(view) || shot.captured < kCapturedLeast;
    if (in_vain || std::abs(shot.captured - before) < 1e-12) break;
  }
  const ValveSpec& valve = plan.line.valve;
  shot.open_s = open_s_for(plan, view.jet, shot.nozzle_kg);
  const double clear = view.opening_radius_m - view.jet.radius_m - shift_m(view);
  shot.window_m = clear - shot.streak_m / 2.0;
  shot.lead_s = view.to_drink_s +
                (seconds(valve.open_delay_us) + seconds(valve.close_delay_us) + shot.open_s) / 2.0;
  return shot;
}

SpeedLimit single_shot_limit(const PlanSpec& plan, const NozzleView& view, const Shot& shot) {
  // Streak, scatter and shift all grow with the speed.
  const double per_speed = shot.flow_s / 2.0 + (view.jitter_m + shift_m(view)) / view.belt_m_per_s;
  const double by_streak = (view.opening_radius_m - view.jet.radius_m) / per_speed;
  const double by_rest = pitch_m(plan) / (shot.open_s + kRest_s);
  return by_streak < by_rest ? SpeedLimit{by_streak, true} : SpeedLimit{by_rest, false};
}

}  // namespace rimebench
