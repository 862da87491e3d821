#include "harness/cli/plan_text.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "harness/cli/plan_text_blocks.hpp"

namespace rimebench {

namespace {

constexpr double kMg = 1e6;
constexpr double kMs = 1e3;
constexpr double kMm = 1e3;

std::string machine(const PlanSpec& spec, const DosePlan& plan) {
  const LineSpec& line = spec.line;
  const bool rotary = line.filler.kind == FillerKind::kRotary;
  std::string text =
      rotary ? "rotary filler" : fmt::format("inline filler, {} heads", line.filler.heads);
  text += line.transport == Transport::kLocked
              ? ", locked to the seamer"
              : fmt::format(", queue before a seamer of {:.2f} s a container",
                            static_cast<double>(line.seamer.cycle_us) / 1e6);
  return text + fmt::format("; {:g} containers a minute, belt {:.3f} m/s", spec.containers_per_min,
                            plan.view.belt_m_per_s);
}

std::string pack_text(const PlanSpec& spec) {
  const ProductSpec& product = spec.product;
  return fmt::format("{:g} ml ({:.2f} US fl oz) of {} at {:g} C ({:.0f} F) in {:g} ml brimful",
                     product.fill_ml, product.fill_ml / kMlPerFluidOunce,
                     product.dry ? "dry goods" : "drink", product.fill_temperature_c,
                     fahrenheit(product.fill_temperature_c), spec.container.brimful_ml);
}

std::string target_text(const PlanSpec& spec) {
  const PlanTarget& target = spec.target;
  const std::string at = fmt::format("at {} ({:.0f} F), gas settled", figure(target.at_c, 0, "C"),
                                     fahrenheit(target.at_c));
  switch (target.kind) {
    case TargetKind::kEquilibrium:
      return kpa_psi(target.value * 1000.0) + " gauge " + at;
    case TargetKind::kHeadspaceOxygen:
      return fmt::format("{:g} % of oxygen in the headspace", target.value);
    case TargetKind::kTotalOxygen:
      return fmt::format("{:g} ppb of oxygen in the whole package", target.value);
    case TargetKind::kDissolvedNitrogen:
      return fmt::format("{:g} mg/kg of nitrogen in the drink {}", target.value, at);
  }
  return {};
}

std::string answer_text(const DosePlan& plan) {
  const PlacePlan& first = plan.places.front();
  const PlacePlan& last = plan.places.back();
  std::string text =
      plan.ramp_needed
          ? fmt::format(
                "DOSE    {:.1f} to {:.1f} mg of liquid nitrogen at the nozzle, valve open "
                "{:.1f} to {:.1f} ms, by place",
                first.shot.nozzle_kg * kMg, last.shot.nozzle_kg * kMg, first.shot.open_s * kMs,
                last.shot.open_s * kMs)
          : fmt::format("DOSE    {:.1f} mg of liquid nitrogen at the nozzle, valve open {:.1f} ms",
                        first.shot.nozzle_kg * kMg, first.shot.open_s * kMs);
  if (any_refusal(plan.notes)) text += ", were it not refused";
  return text + "\n";
}

std::string note_text(const PlanNote& note) {
  const char* const mark = note.severity == Severity::kRefused  ? "REFUSED"
                           : note.severity == Severity::kWarned ? "WARNING"
                                                                : "caution";
  std::string text = wrapped(fmt::format("{}  {}: {}", mark, note.key, note.text), 9);
  if (!note.nearest.empty()) text += wrapped("         nearest: " + note.nearest, 18);
  return text;
}

std::string notes_text(const DosePlan& plan, bool cautions) {
  std::string text;
  for (const PlanNote& note : plan.notes) {
    if ((note.severity == Severity::kCaution) == cautions) text += note_text(note);
  }
  if (!text.empty()) text += "\n";
  return text;
}

std::string losses_text(const PlanSpec& spec, const DosePlan& plan) {
  const PlacePlan& place = plan.places.front();
  const LossesSpec& losses = spec.line.losses;
  double left = place.shot.nozzle_kg * kMg;
  std::string text =
      fmt::format("where it goes, place 1\n  {:<34}{:>8.2f} mg\n", "at the nozzle", left);
  const auto lose = [&](const char* what, double share) {
    text += fmt::format("  {:<34}{:>8.2f}\n", what, -left * share);
    left *= 1.0 - share;
  };
  lose("flash at the valve", losses.flash_percent / 100.0);
  lose("in flight", losses.flight_percent / 100.0);
  lose("splash", losses.splash_percent / 100.0);
  lose("beside the opening", 1.0 - place.shot.captured);
  text += fmt::format("  {:<34}{:>8.2f} mg\n", "landed on the drink", place.pack.landed_kg * kMg);
  text += fmt::format("  {:<34}{:>8.2f}\n",
                      fmt::format("boil-off in {:.2f} s to the seam", place.wait.expected.total()),
                      -place.pack.evaporated_kg() * kMg);
  return text +
         fmt::format("  {:<34}{:>8.2f} mg\n\n", "sealed in as liquid", place.pack.sealed_kg * kMg);
}

std::string ramp_text(const PlanSpec& spec, const DosePlan& plan) {
  if (plan.ramp_needed) return {};
  if (spec.line.transport == Transport::kLocked) {
    return "ramp    none: on a locked transport every container waits alike\n\n";
  }
  return "ramp    none: no container has to wait for the seamer\n\n";
}

std::string places_text(const PlanSpec& spec, const DosePlan& plan) {
  std::string text = fmt::format(
      "        wait   nitrogen, mg             valve    settled        prompt, kPa (psi), {:.0f} "
      "C\n"
      "place   s      sealed  landed  nozzle   open ms  {:.0f} C kPa (psi)  as planned     seamed "
      "after {:.2f} s\n",
      plan.hottest_c, spec.target.at_c, plan.places.front().wait.shortest.total());
  for (const PlacePlan& place : plan.places) {
    text += fmt::format(
        "{:>5}  {:>5.2f}  {:>7.2f} {:>7.2f} {:>7.2f}   {:>7.2f}  {:>14}  {:>13}  {:>13}\n",
        place.wait.place, place.wait.expected.total(), place.pack.sealed_kg * kMg,
        place.pack.landed_kg * kMg, place.shot.nozzle_kg * kMg, place.shot.open_s * kMs,
        pressure(place.equilibrium_Pa), pressure(place.hot_prompt_Pa),
        pressure(place.hot_shortest_Pa));
  }
  return text + fmt::format("  allowed hot: {}, the rating over its safety factor\n\n",
                            kpa_psi(plan.hot_allowed_Pa));
}

std::string timing_text(const PlanSpec& spec, const DosePlan& plan) {
  const Shot& shot = plan.places.back().shot;
  const NozzleView& view = plan.view;
  const double to_nozzle_mm =
      static_cast<double>(spec.line.stations.nozzle_um - spec.line.stations.sensor_um +
                          spec.container.body_um / 2) /
      1000.0;
  const double travel_ms = to_nozzle_mm / view.belt_m_per_s;
  const double per_min =
      spec.containers_per_min * plan.single_shots_until.belt_m_per_s / view.belt_m_per_s;
  const double stream_mg = view.jet.flow_kg_per_s * 2.0 * view.opening_radius_m /
                           plan.single_shots_until.belt_m_per_s * kMg;
  std::string text = "timing at the nozzle, largest shot\n";
  const auto line = [&](const char* what, const std::string& value) {
    text += fmt::format("  {:<34}{}\n", what, value);
  };
  line("sensor edge to opening at nozzle",
       fmt::format("{:.1f} mm, {:.1f} ms", to_nozzle_mm, travel_ms));
  line("command before landing",
       fmt::format("{:.1f} ms, of it flight {:.1f} ms to the rim, {:.1f} ms to "
                   "the drink ({:.1f} mm of travel)",
                   shot.lead_s * kMs, view.to_rim_s * kMs, view.to_drink_s * kMs,
                   view.to_drink_s * view.belt_m_per_s * kMm));
  line("jet", fmt::format("{:.2f} g/s, {:.2f} m/s, {:.1f} mm", view.jet.flow_kg_per_s * 1000.0,
                          view.jet.speed_m_per_s, 2.0 * view.jet.radius_m * kMm));
  line("streak on the drink", fmt::format("{:.1f} mm in an opening of {:.1f} mm",
                                          shot.streak_m * kMm, 2.0 * view.opening_radius_m * kMm));
  line("landing window", fmt::format("+- {:.1f} mm, +- {:.1f} ms", shot.window_m * kMm,
                                     shot.window_m / view.belt_m_per_s * kMs));
  line("caught", fmt::format("{:.1f} % at the rim, {:.1f} % at the surface",
                             100.0 * shot.captured_rim, 100.0 * shot.captured_surface));
  line("single shots fit up to",
       fmt::format("{:.0f} containers a minute, until {}; a stream would give {:.0f} mg there",
                   per_min,
                   plan.single_shots_until.by_streak ? "the streak no longer fits the opening"
                                                     : "the valve has no time to rest",
                   stream_mg));
  return text + "\n";
}

}  // namespace

std::string plan_text(const PlanSpec& spec, const DosePlan& plan) {
  std::string text = fmt::format("{}: {}\n  {}\n  {}\n\n", spec.name, spec.title,
                                 machine(spec, plan), pack_text(spec));
  text += fmt::format("TARGET  {}\n", target_text(spec));
  if (plan.solved) text += answer_text(plan);
  text += "\n";
  text += notes_text(plan, false);
  if (plan.solved) {
    text += places_text(spec, plan) + ramp_text(spec, plan) + losses_text(spec, plan) +
            timing_text(spec, plan) + pressures_text(spec, plan) + after_seam_text(spec, plan) +
            oxygen_text(plan) + sensitivities_text(spec, plan) + supply_text(spec, plan) +
            room_text(spec, plan);
  }
  text += nitrogenation_text(spec, plan);
  if (plan.solved) text += stops_text(spec, plan);
  text += notes_text(plan, true);
  return text + kPlanFoot;
}

}  // namespace rimebench
