#include "tests/properties/line_plan.hpp"

#include <ostream>

#include "tests/core/line_on_rails.hpp"

namespace rimebench::properties {
namespace {

Episode any_episode() {
  const std::int64_t what = *between(0, static_cast<int>(Happening::kCount) - 1);
  return {static_cast<Happening>(what), *between(0, 1'000), *between(0, 6)};
}

/// y at x on the line through two points, rounded down.
std::int64_t on_line(std::int64_t x, std::int64_t x0, std::int64_t y0, std::int64_t x1,
                     std::int64_t y1) {
  if (x <= x0) return y0;
  if (x >= x1) return y1;
  return y0 + (x - x0) * (y1 - y0) / (x1 - x0);
}

/// The flow that gives the first place its dose at the plan's speed.
void set_stream(const LinePlan& plan, RecipeValues& recipe) {
  const auto set = [&](Parameter parameter, std::int64_t value) {
    recipe.set(parameter, static_cast<std::int32_t>(value));
  };
  const std::int64_t opening_um = plan.width_um * 3 / 4;
  set(Parameter::kStreamEnterUmPerS, plan.speed_um_per_s * 3 / 4);
  set(Parameter::kStreamLeaveUmPerS, plan.speed_um_per_s * 5 / 8);
  set(Parameter::kStreamGapUs, plan.lead_us * 5);
  set(Parameter::kStreamUsMax, 1'500'000);
  set(Parameter::kOpeningUm, opening_um);
  set(Parameter::kStreamFlowUgPerS,
      dose_ug(recipe, place_wait_us(plan, 0)) * plan.speed_um_per_s / opening_um);
  set(Parameter::kStreamDoseErrorMaxPpm, 200'000);
}

}  // namespace

std::ostream& operator<<(std::ostream& out, const LinePlan& plan) {
  out << (plan.queued ? "queued" : "locked") << ", pulse every "
      << (plan.pulsed ? plan.pulse_pitch_um : 0) << " um, containers " << plan.width_um << " + "
      << plan.gap_um << " um at " << plan.speed_um_per_s << " um/s, lead " << plan.lead_us
      << " us, shot " << plan.shot_us << " us, feedback " << plan.feedback_us << " us, groups of "
      << plan.group << (plan.streams ? ", streams" : "") << '\n';
  for (const Episode& episode : plan.episodes) {
    out << "  " << episode.containers << " containers, then happening "
        << static_cast<int>(episode.what) << " of strength " << episode.strength << '\n';
  }
  return out;
}

LinePlan any_plan(bool calm) {
  LinePlan plan;
  plan.queued = *between(0, 2) == 0;
  plan.pulsed = *between(0, 3) != 0;
  plan.pulse_pitch_um = *between(1, 10) * 1'000;
  plan.width_um = *between(40, 90) * 1'000;
  plan.gap_um = *between(30, 120) * 1'000;
  plan.speed_um_per_s = *between(100, 900) * 1'000;
  plan.lead_us = *between(0, 40) * 1'000;
  plan.shot_us = *between(8, 30) * 1'000;
  plan.feedback_us = *between(0, 2) * 15'000;
  plan.group = *between(0, 1) == 0 ? 1 : static_cast<int>(*between(2, 4));
  plan.streams = *between(0, 2) == 0;
  const auto episodes = rc::gen::container<std::vector<Episode>>(rc::gen::exec(any_episode));
  if (!calm) plan.episodes = *rc::gen::resize(14, episodes);
  return plan;
}

RecipeValues recipe_for(const LinePlan& plan) {
  RecipeValues recipe = rails::rotary_recipe();
  const auto set = [&](Parameter parameter, std::int64_t value) {
    recipe.set(parameter, static_cast<std::int32_t>(value));
  };
  set(Parameter::kLinePulsePitchUm, plan.pulsed ? plan.pulse_pitch_um : 0);
  set(Parameter::kLineSpeedUmPerS, plan.speed_um_per_s);
  set(Parameter::kSpeedMinUmPerS, 40'000);
  set(Parameter::kEdgeToCentreUm, plan.width_um / 2);
  set(Parameter::kContainerWidthMinUm, plan.width_um * 3 / 4);
  set(Parameter::kContainerWidthMaxUm, plan.width_um * 5 / 4);
  set(Parameter::kPitchMinUm, plan.width_um / 2);
  set(Parameter::kFlightUs, plan.lead_us);
  set(Parameter::kOpenCurveUs, plan.shot_us / 2);
  recipe.set_slot(slot(Parameter::kOpenCurveUs, 1),
                  static_cast<std::int32_t>(plan.shot_us * 5 / 2));
  set(Parameter::kOpenUsMin, plan.shot_us / 2);
  set(Parameter::kOpenUsMax, plan.shot_us * 2);
  set(Parameter::kValveFeedbackUsMax, plan.feedback_us);
  set(Parameter::kTransport, plan.queued ? 1 : 0);
  set(Parameter::kDischargeToGateUm, 700'000);
  set(Parameter::kSeamToDischargeUs, 60'000);
  set(Parameter::kPlaceSource, plan.group > 1 ? 1 : 0);
  set(Parameter::kPlaceCount, plan.group);
  set(Parameter::kHeadPitchUm, plan.width_um + plan.gap_um);
  set(Parameter::kGroupStartToSensorUm, 2 * (plan.width_um + plan.gap_um));
  set(Parameter::kWaitSource, static_cast<int>(WaitSource::kPlace));
  for (int place = 0; place < kPlaces; ++place) {
    recipe.set_slot(slot(Parameter::kPlaceWaitUs, place),
                    static_cast<std::int32_t>(place_wait_us(plan, place)));
  }
  set(Parameter::kWaitErrorMaxUs, 400'000);
  set(Parameter::kWaitCurveUs, 500'000);
  set(Parameter::kWaitCurvePpm, 1'000'000);
  recipe.set_slot(slot(Parameter::kWaitCurveUs, 1), 9'000'000);
  recipe.set_slot(slot(Parameter::kWaitCurvePpm, 1), 1'900'000);
  if (plan.streams) set_stream(plan, recipe);
  return recipe;
}

std::int64_t dose_ug(const RecipeValues& recipe, std::int64_t wait_us) {
  const auto at = [&](Parameter list, int entry) { return std::int64_t{recipe.get(list, entry)}; };
  const std::int64_t gain =
      on_line(wait_us, at(Parameter::kWaitCurveUs, 0), at(Parameter::kWaitCurvePpm, 0),
              at(Parameter::kWaitCurveUs, 1), at(Parameter::kWaitCurvePpm, 1));
  return at(Parameter::kDoseUg, 0) * gain / 1'000'000;
}

std::int64_t place_wait_us(const LinePlan& plan, int place) {
  const std::int64_t belt_us = 600'000 * 1'000'000LL / plan.speed_um_per_s;
  return plan.queued ? belt_us + 100'000LL * place : belt_us;
}

std::int64_t open_us(const RecipeValues& recipe, std::int64_t wait_us) {
  const auto at = [&](Parameter list, int entry) { return std::int64_t{recipe.get(list, entry)}; };
  return on_line(dose_ug(recipe, wait_us), at(Parameter::kOpenCurveUg, 0),
                 at(Parameter::kOpenCurveUs, 0), at(Parameter::kOpenCurveUg, 1),
                 at(Parameter::kOpenCurveUs, 1));
}

}  // namespace rimebench::properties
