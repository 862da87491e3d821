#include <algorithm>
#include <cmath>

#include "plant_model/planner/plan_checks.hpp"

namespace rimebench {

namespace {

/// With less of the landed liquid left at the seam, its scatter is larger than any tolerance.
constexpr double kSurvivalLeast = 0.05;
constexpr int kHalvings = 50;

bool needs_liquid(TargetKind kind) {
  return kind == TargetKind::kEquilibrium || kind == TargetKind::kDissolvedNitrogen;
}

const char* wait_key(const PlanSpec& spec) {
  return spec.line.transport == Transport::kQueued ? "line.seamer.cycle_us"
                                                   : "line.stations.seam_um";
}

double survival(const PlanSpec& spec, const PackPlan& packs, double wait_s) {
  const Wait wait = split_wait(spec, wait_s);
  const auto landed = packs.landed_for_target(wait);
  if (!landed || *landed <= 0.0) return 0.0;
  return packs.forward(*landed, wait).sealed_kg / *landed;
}

/// The longest wait after which enough is left.
double longest_wait_s(const PlanSpec& spec, const PackPlan& packs, double too_long_s) {
  double low = 0.0;
  double high = too_long_s;
  for (int i = 0; i < kHalvings; ++i) {
    const double middle = 0.5 * (low + high);
    (survival(spec, packs, middle) < kSurvivalLeast ? high : low) = middle;
  }
  return low;
}

std::string nearest_wait(const PlanSpec& spec, const PackPlan& packs, const Wait& wait) {
  const double longest = longest_wait_s(spec, packs, wait.total());
  std::string text = "a wait of " + figure(longest, 1, "s");
  if (spec.line.transport == Transport::kLocked) {
    const double metres = longest * belt_m_per_s(spec);
    text += ", so the seam " + figure(metres * 1000.0, 0, "mm") + " beyond the nozzle";
  }
  return text;
}

}  // namespace

void note_no_dose(const PlanSpec& spec, const PackPlan& packs, const Wait& wait, PlanNotes& notes) {
  const Pack undosed = packs.forward(0.0, wait);
  if (!undosed.sealed) {
    notes.push_back({Severity::kRefused, "product.fill_ml",
                     "the fill leaves no headspace to put nitrogen into",
                     figure(spec.container.brimful_ml * 0.95, 1, "ml")});
    return;
  }
  if (spec.product.dry && spec.target.kind == TargetKind::kDissolvedNitrogen) {
    notes.push_back({Severity::kRefused, target_key(spec.target.kind),
                     "nothing dissolves in dry goods", "a target of headspace oxygen"});
    return;
  }
  const auto settled = packs.target_equilibrium_Pa(undosed);
  if (packs.excess(undosed) >= 0.0) {
    notes.push_back({Severity::kRefused, target_key(spec.target.kind),
                     "the pack meets it without any nitrogen: it settles at " +
                         (settled ? kpa_psi(*settled) : std::string("liquid-full")) + " at " +
                         figure(spec.target.at_c, 0, "C"),
                     settled ? "more than " + kpa_psi(*settled) : std::string()});
    return;
  }
  if (!needs_liquid(spec.target.kind)) {
    notes.push_back({Severity::kRefused, target_key(spec.target.kind),
                     "no dose reaches it: air drawn in while the container is open, or oxygen "
                     "that the drink brings along, stays",
                     "less air ingress, a flush under the lid, or de-aerated drink"});
    return;
  }
  notes.push_back({Severity::kRefused, wait_key(spec),
                   "after " + figure(wait.total(), 1, "s") +
                       " all nitrogen has boiled away: no dose reaches the target",
                   nearest_wait(spec, packs, wait)});
}

void check_survival(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  if (!needs_liquid(spec.target.kind)) return;
  for (const PlacePlan& place : plan.places) {
    const double left = place.pack.sealed_kg / place.pack.landed_kg;
    if (left >= kSurvivalLeast) continue;
    plan.notes.push_back({Severity::kRefused, wait_key(spec),
                          "place " + std::to_string(place.wait.place) + " waits " +
                              figure(place.wait.expected.total(), 1, "s") + " and all but " +
                              figure(100.0 * left, 1, "%") +
                              " of its nitrogen has boiled away by then",
                          nearest_wait(spec, packs, place.wait.expected)});
    return;
  }
}

}  // namespace rimebench
