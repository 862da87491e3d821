#include <algorithm>
#include <cmath>

#include "plant_model/physics/flight.hpp"
#include "plant_model/planner/plan_checks.hpp"
#include "plant_model/planner/plan_recipe.hpp"

namespace rimebench {

namespace {

constexpr double kMm = 1000.0;
constexpr double kMs = 1000.0;
constexpr double kMg = 1e6;
constexpr double kCapturedGood = 0.999;

const PlacePlan& largest(const DosePlan& plan) {
  return *std::max_element(
      plan.places.begin(), plan.places.end(),
      [](const PlacePlan& a, const PlacePlan& b) { return a.shot.nozzle_kg < b.shot.nozzle_kg; });
}

const PlacePlan& smallest(const DosePlan& plan) {
  return *std::min_element(
      plan.places.begin(), plan.places.end(),
      [](const PlacePlan& a, const PlacePlan& b) { return a.shot.nozzle_kg < b.shot.nozzle_kg; });
}

void check_least_shot(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  const PlacePlan& least = smallest(plan);
  const double least_s = least_open_s(spec);
  if (least.shot.open_s >= least_s) return;
  const double kg = nozzle_kg_for(spec, plan.view.jet, least_s);
  const double landed = landed_of(spec, kg, least.shot.captured);
  const auto settled = packs.target_equilibrium_Pa(packs.forward(landed, least.wait.expected));
  const double flow_s = least_s + least.shot.flow_s - least.shot.open_s;
  const double flow_g_per_s = std::floor(least.shot.nozzle_kg / flow_s * 1.0e5) / 100.0;
  plan.notes.push_back(
      {Severity::kRefused, "line.valve.flow_ug_per_us",
       "the dose of " + figure(least.shot.nozzle_kg * kMg, 1, "mg") + " needs the valve open for " +
           figure(least.shot.open_s * kMs, 1, "ms") + ", below its least linear shot of " +
           figure(least_s * kMs, 1, "ms") + ", " + figure(kg * kMg, 1, "mg"),
       "a flow of " + figure(flow_g_per_s, 2, "ug/us") + " or less" +
           (settled ? ", or a target of " + kpa_psi(*settled) : std::string())});
}

void check_streak(const PlanSpec& spec, DosePlan& plan) {
  const Shot& shot = largest(plan).shot;
  const double fits = longest_streak_m(plan.view);
  if (shot.streak_m <= fits) return;
  const double opening = 2.0 * plan.view.opening_radius_m;
  std::string nearest =
      "none at this speed: the jet, its scatter and the fall from rim to drink "
      "take up the whole opening";
  if (fits > 0.0) {
    const double flow = shot.nozzle_kg * plan.view.belt_m_per_s / fits * 1000.0;
    const double slower = plan.single_shots_until.belt_m_per_s / plan.view.belt_m_per_s;
    nearest = "a streak of " + figure(fits * kMm, 1, "mm") + ": a flow of " +
              figure(flow, 2, "ug/us") + ", or " +
              figure(std::floor(spec.containers_per_min * slower), 0, "containers a minute") +
              ", or two shots";
  }
  plan.notes.push_back({Severity::kRefused, "container.opening_um",
                        "a streak of " + figure(shot.streak_m * kMm, 1, "mm") +
                            " does not fit an opening of " + figure(opening * kMm, 1, "mm") +
                            ": jet, scatter and the fall to the drink leave " +
                            figure(std::max(fits, 0.0) * kMm, 1, "mm"),
                        nearest});
}

void check_capture(DosePlan& plan) {
  const Shot& shot = largest(plan).shot;
  if (shot.captured >= kCapturedGood) return;
  const bool lost = shot.captured < kCapturedLeast;
  plan.notes.push_back(
      {lost ? Severity::kRefused : Severity::kWarned, "line.nozzle.lateral_um",
       "only " + figure(100.0 * shot.captured, 1, "%") +
           " of the shot is caught: " + figure(100.0 * shot.captured_rim, 1, "%") +
           " at the rim, " + figure(100.0 * shot.captured_surface, 1, "%") + " at the surface" +
           (lost ? "" : "; the dose makes it good, the rest falls outside"),
       lost ? "a nozzle over the middle of the openings, and a streak that fits" : ""});
}

void check_sensor(const PlanSpec& spec, DosePlan& plan) {
  const StationsSpec& at = spec.line.stations;
  const Shot& shot = largest(plan).shot;
  const double speed = plan.view.belt_m_per_s;
  const double travel_m = static_cast<double>(at.nozzle_um - at.sensor_um) * 1e-6 +
                          static_cast<double>(spec.container.body_um) * 0.5e-6;
  const double decided_s =
      static_cast<double>(spec.line.sensor.on_delay_us + debounce_us(spec, speed)) * 1e-6;
  const double needed_m = speed * (decided_s + shot.lead_s) +
                          static_cast<double>(spec.line.controls.line_pulse_pitch_um) * 1e-6;
  if (travel_m >= needed_m) return;
  const double nearest_m = needed_m - static_cast<double>(spec.container.body_um) * 0.5e-6;
  plan.notes.push_back({Severity::kRefused, "line.stations.sensor_um",
                        "the sensor is too near: the shot would have to start " +
                            figure((needed_m - travel_m) / speed * kMs, 0, "ms") +
                            " before the container is known",
                        figure(nearest_m * kMm, 0, "mm") + " or more before the nozzle"});
}

void check_speed(const PlanSpec& spec, DosePlan& plan) {
  const SpeedLimit& limit = plan.single_shots_until;
  if (limit.by_streak || limit.belt_m_per_s >= plan.view.belt_m_per_s) return;
  const double per_min = spec.containers_per_min * limit.belt_m_per_s / plan.view.belt_m_per_s;
  plan.notes.push_back({Severity::kRefused, "containers_per_min",
                        "the next container comes before the valve has closed and rested: only a "
                        "running stream would serve this speed",
                        figure(std::floor(per_min), 0, "containers a minute")});
}

}  // namespace

void check_shots(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  plan.single_shots_until = single_shot_limit(spec, plan.view, largest(plan).shot);
  check_least_shot(spec, packs, plan);
  check_streak(spec, plan);
  check_capture(plan);
  check_sensor(spec, plan);
  check_speed(spec, plan);
}

void check_queue(const PlanSpec& spec, DosePlan& plan) {
  if (spec.line.transport != Transport::kQueued) return;
  const double most = 60e6 / static_cast<double>(spec.line.seamer.cycle_us);
  if (spec.containers_per_min > most) {
    plan.notes.push_back(
        {Severity::kRefused, "containers_per_min",
         "the seamer takes one container in " +
             figure(static_cast<double>(spec.line.seamer.cycle_us) * 1e-6, 2, "s") +
             ": its queue would never empty",
         figure(std::floor(most), 0, "containers a minute")});
  }
  const auto saturated = std::find_if(plan.places.begin(), plan.places.end(),
                                      [](const PlacePlan& p) { return p.wait.saturated; });
  if (saturated == plan.places.end()) return;
  plan.queue_saturates_at = saturated->wait.place;
  plan.notes.push_back({Severity::kRefused, "line.filler.heads",
                        "the queue is short: from place " +
                            std::to_string(plan.queue_saturates_at) +
                            " on containers stand before the nozzle. Their wait, and so the ramp, "
                            "grows no more, and a controller that follows the belt cannot dose "
                            "what stands",
                        std::to_string(plan.queue_saturates_at - 1) +
                            " heads at once, or a longer way from nozzle to seamer"});
}

}  // namespace rimebench
