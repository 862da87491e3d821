#include "harness/dossier/plan_dossier.hpp"

#include <fmt/format.h>

#include <cmath>
#include <utility>

#include "harness/dossier/blocks.hpp"
#include "harness/dossier/plan_blocks.hpp"
#include "harness/dossier/run_blocks.hpp"
#include "harness/judge/verdict_json.hpp"

namespace rimebench {

namespace {

void state_outcome(Document& document, const PlanSpec& spec, const DosePlan& plan) {
  const bool refused = any_refusal(plan.notes);
  document.outcome = to_text(outcome_of(spec, plan));
  for (const PlanNote& note : plan.notes) {
    if (note.severity == Severity::kRefused) document.why.push_back("refused: " + note.text);
    if (note.severity == Severity::kCaution) document.cautions.push_back(note.text);
  }
  if (!refused && foams(spec.product)) document.why.emplace_back("trial required: the drink foams");
  if (!refused) document.why.emplace_back("a dose was found that keeps every limit");
}

void state_figures(Document& document, const DosePlan& plan) {
  const PlacePlan& first = plan.places.front();
  const PlacePlan& last = plan.places.back();
  const auto mg = [](const PlacePlan& place) {
    return Figure{place.shot.nozzle_kg * 1e6, Measure::kMassMg, 1};
  };
  document.figures.push_back({plan.ramp_needed ? "dose, place 1" : "dose", mg(first)});
  if (plan.ramp_needed) document.figures.push_back({"dose, last place", mg(last)});
  document.figures.push_back(
      {"valve open, longest", Figure{last.shot.open_s * 1e3, Measure::kTimeMs, 1}});
  document.figures.push_back({"settled pressure", pressure_cell(first.equilibrium_Pa)});
  document.figures.push_back({"hot pressure, prompt", pressure_cell(first.hot_prompt_Pa)});
  document.figures.push_back({"hot pressure allowed", pressure_cell(plan.hot_allowed_Pa)});
}

std::vector<Fact> about(const PlanSpec& spec) {
  std::vector<Fact> facts{
      {"plan", spec.name},
      {"line speed", Figure{spec.containers_per_min, Measure::kRatePerMin, 1}},
      {"fill", Figure{spec.product.fill_ml, Measure::kVolumeMl, 1}},
      {"brimful", Figure{spec.container.brimful_ml, Measure::kVolumeMl, 1}},
      {"fill temperature", Figure{spec.product.fill_temperature_c, Measure::kTemperatureC, 1}}};
  for (const PlanDefault& one : spec.defaults) {
    facts.push_back({"not given: " + one.key, one.text, "measure it"});
  }
  return facts;
}

void add_solution(Document& document, const PlanSpec& spec, const DosePlan& plan) {
  const Duration open{std::llround(plan.places.back().shot.open_s * 1e6)};
  add(document, {"line", "The line, to scale", "the container at the moment of the longest shot"},
      line_block(spec.line, spec.container, spec.product, spec.containers_per_min, open));
  add(document, {"places", "Dose by place"}, plan_places_table(plan));
  add(document, {"losses", "Where it goes, place 1"}, plan_losses_facts(spec, plan));
  add(document, {"shot_timing", "Timing at the nozzle, longest shot"},
      plan_timing_facts(spec, plan));
  add(document,
      {"pressures", "Pressure of place 1",
       "prompt: all nitrogen boiled, none dissolved yet; settled: dissolved gas at equilibrium"},
      plan_pressures_table(plan));
  add(document, {"after_seam", "What a gauge reads after the seam"}, plan_after_seam_table(plan));
  add(document, {"oxygen", "Oxygen and nitrogen"}, plan_oxygen_facts(plan));
  add(document, {"sensitivities", "What matters most"}, plan_sensitivities(plan));
  add(document, {"supply", "Supply"}, plan_supply_facts(plan));
  add(document, {"vessels", "How long it lasts"}, plan_vessels_table(spec, plan));
  add(document, {"room", "The room"}, plan_room_facts(spec, plan));
  add(document, {"stops", "After a stop with the belt standing"}, plan_stops_table(plan));
  add(document, {"signoff", "Limits and who stands for them", "what has no owner is not approved"},
      plan_signoff(spec, plan));
  add(document, {"recipe", "The recipe"}, plan_recipe_table(plan));
}

}  // namespace

Outcome outcome_of(const PlanSpec& spec, const DosePlan& plan) {
  if (any_refusal(plan.notes)) return Outcome::kFail;
  return foams(spec.product) ? Outcome::kInconclusive : Outcome::kPass;
}

Document plan_dossier(const PlanSpec& spec, const DosePlan& plan, const std::string& repeat) {
  Document document;
  document.title = spec.title;
  document.subtitle = spec.name;
  document.kind = "plan";
  document.about = about(spec);
  document.repeat = repeat;
  state_outcome(document, spec, plan);
  add_usual_cautions(document);
  add(document, {"notes", "Refusals, warnings and cautions"}, plan_notes_table(plan));
  if (!plan.solved) return document;
  state_figures(document, plan);
  add_solution(document, spec, plan);
  return document;
}

}  // namespace rimebench
